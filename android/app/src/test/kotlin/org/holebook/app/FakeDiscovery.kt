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

/** The phone's service discovery, with what a test says is on the network. */
@Implements(NsdManager::class)
class FakeDiscovery {
    @Implementation
    @Suppress("UNUSED_PARAMETER", "ktlint:standard:function-naming", "FunctionName")
    fun __constructor__(context: Context, service: INsdManager?) = Unit

    @Implementation
    @Suppress("UNUSED_PARAMETER")
    fun discoverServices(kind: String, protocol: Int, listener: NsdManager.DiscoveryListener) {
        searches += 1
        looking += listener
        asked = kind
        listener.onDiscoveryStarted(kind)
        for (service in services) listener.onServiceFound(NsdServiceInfo().apply { serviceName = service.name })
    }

    @Implementation
    fun stopServiceDiscovery(listener: NsdManager.DiscoveryListener) {
        require(looking.remove(listener)) { "the framework says so too" }
    }

    @Implementation
    @Suppress("UNUSED_PARAMETER")
    fun registerServiceInfoCallback(info: NsdServiceInfo, executor: Executor, callback: NsdManager.ServiceInfoCallback) {
        watching += callback
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
        require(watching.remove(callback)) { "the framework says so too" }
    }

    /** What is announced; without addresses it never says where it is. */
    class Service(val name: String, val port: Int, vararg val addresses: String)

    companion object {
        /** What is on the network. */
        @JvmStatic
        var services = emptyList<Service>()

        /** How often somebody looked. */
        @JvmStatic
        var searches = 0

        /** What was looked for last. */
        @JvmStatic
        var asked = ""

        /** Who looks. */
        @JvmStatic
        val looking = mutableListOf<NsdManager.DiscoveryListener>()

        /** Who waits for a service's place. */
        @JvmStatic
        val watching = mutableListOf<NsdManager.ServiceInfoCallback>()

        @JvmStatic
        @Resetter
        fun reset() {
            services = emptyList()
            searches = 0
            looking.clear()
            watching.clear()
        }
    }
}
