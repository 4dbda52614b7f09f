package org.holebook.app

import android.content.Context
import android.net.nsd.INsdManager
import android.net.nsd.NsdManager
import android.net.nsd.NsdServiceInfo
import java.net.InetAddress
import java.util.concurrent.Executor
import org.robolectric.annotation.Implementation
import org.robolectric.annotation.Implements
import org.robolectric.annotation.Resetter

/** Android's service discovery, with services that a test sets. */
@Implements(NsdManager::class)
class FakeDiscovery {
    @Implementation
    @Suppress("UNUSED_PARAMETER", "ktlint:standard:function-naming", "FunctionName")
    fun __constructor__(context: Context, service: INsdManager?) = Unit

    @Implementation
    @Suppress("UNUSED_PARAMETER")
    fun discoverServices(type: String, protocol: Int, listener: NsdManager.DiscoveryListener) {
        searches += 1
        searching += listener
        lastType = type
        listener.onDiscoveryStarted(type)
        for (service in services) {
            listener.onServiceFound(NsdServiceInfo().apply { serviceName = service.name })
        }
    }

    @Implementation
    fun stopServiceDiscovery(listener: NsdManager.DiscoveryListener) {
        require(searching.remove(listener)) { "as the framework does" }
    }

    @Implementation
    @Suppress("UNUSED_PARAMETER")
    fun registerServiceInfoCallback(
        info: NsdServiceInfo,
        executor: Executor,
        callback: NsdManager.ServiceInfoCallback,
    ) {
        resolving += callback
        val service = services.first { it.name == info.serviceName }
        if (service.addresses.isEmpty()) return
        callback.onServiceUpdated(NsdServiceInfo().apply {
            serviceName = service.name
            port = service.port
            hostAddresses = service.addresses.map(InetAddress::getByName)
        })
    }

    @Implementation
    fun unregisterServiceInfoCallback(callback: NsdManager.ServiceInfoCallback) {
        require(resolving.remove(callback)) { "as the framework does" }
    }

    /** An announced service; without addresses it never resolves. */
    class Service(val name: String, val port: Int, vararg val addresses: String)

    companion object {
        /** The services on the network. */
        @JvmStatic
        var services = emptyList<Service>()

        /** How many searches were started. */
        @JvmStatic
        var searches = 0

        /** The service type of the last search. */
        @JvmStatic
        var lastType = ""

        /** Listeners of running searches. */
        @JvmStatic
        val searching = mutableListOf<NsdManager.DiscoveryListener>()

        /** Callbacks that wait for a service's addresses. */
        @JvmStatic
        val resolving = mutableListOf<NsdManager.ServiceInfoCallback>()

        @JvmStatic
        @Resetter
        fun reset() {
            services = emptyList()
            searches = 0
            searching.clear()
            resolving.clear()
        }
    }
}
