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

/**
 * Resolves the addresses of a discovered service. One at a time, since before API 34 Android
 * resolves no more at once.
 */
class ServiceResolver(private val nsd: NsdManager) {
    /** Its addresses; `null` without an answer within [nanos], or a few seconds. Blocks. */
    fun resolve(service: NsdServiceInfo, nanos: Long): SeenShop? {
        val answer = CompletableFuture<NsdServiceInfo?>()
        val timeout = minOf(nanos, SECONDS.toNanos(TIMEOUT_SECONDS))
        if (Build.VERSION.SDK_INT < Build.VERSION_CODES.UPSIDE_DOWN_CAKE) {
            resolveBeforeApi34(service, answer)
            return await(answer, timeout)?.let(::shopBeforeApi34)
        }
        val callback = Callback(answer)
        nsd.registerServiceInfoCallback(service, Runnable::run, callback)
        return try {
            await(answer, timeout)?.let { shop(it.serviceName, it.hostAddresses, it.port) }
        } finally {
            callback.unregister(nsd)
        }
    }

    private fun await(answer: CompletableFuture<NsdServiceInfo?>, nanos: Long): NsdServiceInfo? =
        try {
            answer.get(nanos, NANOSECONDS)
        } catch (_: TimeoutException) {
            null
        } catch (_: ExecutionException) {
            null
        }

    @Suppress("DEPRECATION")
    private fun resolveBeforeApi34(
        service: NsdServiceInfo,
        answer: CompletableFuture<NsdServiceInfo?>,
    ) = nsd.resolveService(service, object : NsdManager.ResolveListener {
        override fun onResolveFailed(service: NsdServiceInfo, error: Int) {
            answer.complete(null)
        }

        override fun onServiceResolved(service: NsdServiceInfo) {
            answer.complete(service)
        }
    })

    @Suppress("DEPRECATION")
    private fun shopBeforeApi34(service: NsdServiceInfo) =
        shop(service.serviceName, listOfNotNull(service.host), service.port)

    private fun shop(name: String, addresses: List<InetAddress>, port: Int): SeenShop {
        val remote = addresses.filterNot { it.isLoopbackAddress || it.isAnyLocalAddress }
        return SeenShop(name, remote.map { "${numeric(it)}:$port" })
    }

    /** In numbers; a link-local address includes the number of its network. */
    private fun numeric(address: InetAddress): String {
        val plain = address.hostAddress.orEmpty().substringBefore('%')
        if (address !is Inet6Address) return plain
        return if (address.isLinkLocalAddress) "[$plain%${address.scopeId}]" else "[$plain]"
    }

    /** Completes with what Android reports of one service. */
    private class Callback(
        private val answer: CompletableFuture<NsdServiceInfo?>,
    ) : NsdManager.ServiceInfoCallback {
        fun unregister(nsd: NsdManager) = try {
            nsd.unregisterServiceInfoCallback(this)
        } catch (_: IllegalArgumentException) {
            // It was never registered.
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
        /** A service that is announced and does not answer must not hold up the others. */
        const val TIMEOUT_SECONDS = 3L
    }
}
