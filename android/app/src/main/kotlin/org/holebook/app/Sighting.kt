package org.holebook.app

import android.net.nsd.NsdManager
import android.net.nsd.NsdServiceInfo
import android.os.Build
import java.net.Inet6Address
import java.net.InetAddress
import java.util.concurrent.CompletableFuture
import java.util.concurrent.ExecutionException
import java.util.concurrent.TimeUnit.NANOSECONDS
import java.util.concurrent.TimeUnit.SECONDS
import java.util.concurrent.TimeoutException
import org.holebook.core.SeenShop

/** Asks where a service is that was found by name. Before API 34 Android asks for one at a time, so this is done one after the other. */
class Sighting(private val nsd: NsdManager) {
    /** Where it is; `null` where that is not answered within [nanos], or a few seconds. Blocks. */
    fun of(found: NsdServiceInfo, nanos: Long): SeenShop? {
        val answer = CompletableFuture<NsdServiceInfo?>()
        val patience = minOf(nanos, SECONDS.toNanos(PATIENCE))
        if (Build.VERSION.SDK_INT < Build.VERSION_CODES.UPSIDE_DOWN_CAKE) {
            resolve(found, answer)
            return await(answer, patience)?.let(::shopOld)
        }
        val watch = Watch(answer)
        nsd.registerServiceInfoCallback(found, Runnable::run, watch)
        return try {
            await(answer, patience)?.let { shop(it.serviceName, it.hostAddresses, it.port) }
        } finally {
            watch.shut(nsd)
        }
    }

    private fun await(answer: CompletableFuture<NsdServiceInfo?>, nanos: Long): NsdServiceInfo? = try {
        answer.get(nanos, NANOSECONDS)
    } catch (_: TimeoutException) {
        null
    } catch (_: ExecutionException) {
        null
    }

    @Suppress("DEPRECATION") // the only way there was before API 34
    private fun resolve(found: NsdServiceInfo, answer: CompletableFuture<NsdServiceInfo?>) =
        nsd.resolveService(found, object : NsdManager.ResolveListener {
            override fun onResolveFailed(service: NsdServiceInfo, error: Int) {
                answer.complete(null)
            }

            override fun onServiceResolved(service: NsdServiceInfo) {
                answer.complete(service)
            }
        })

    @Suppress("DEPRECATION") // the only way there was before API 34
    private fun shopOld(service: NsdServiceInfo) = shop(service.serviceName, listOfNotNull(service.host), service.port)

    /** An address that means this very phone is none of another's. */
    private fun shop(name: String, addresses: List<InetAddress>, port: Int): SeenShop =
        SeenShop(name, addresses.filterNot { it.isLoopbackAddress || it.isAnyLocalAddress }.map { "${written(it)}:$port" })

    /** In numbers; an address that holds on one network alone names that network by its number. */
    private fun written(address: InetAddress): String {
        val plain = address.hostAddress.orEmpty().substringBefore('%')
        if (address !is Inet6Address) return plain
        return if (address.isLinkLocalAddress) "[$plain%${address.scopeId}]" else "[$plain]"
    }

    /** What Android tells of one service. */
    private class Watch(private val answer: CompletableFuture<NsdServiceInfo?>) : NsdManager.ServiceInfoCallback {
        fun shut(nsd: NsdManager) = try {
            nsd.unregisterServiceInfoCallback(this)
        } catch (_: IllegalArgumentException) {
            // It was never taken.
        }

        override fun onServiceUpdated(service: NsdServiceInfo) {
            answer.complete(service)
        }

        override fun onServiceInfoCallbackRegistrationFailed(error: Int) {
            answer.complete(null)
        }

        override fun onServiceLost() {
            answer.complete(null)
        }

        override fun onServiceInfoCallbackUnregistered() = Unit
    }

    private companion object {
        /** Seconds; whoever announces a service and does not answer must not keep others from being heard. */
        const val PATIENCE = 3L
    }
}
