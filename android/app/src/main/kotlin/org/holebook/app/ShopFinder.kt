package org.holebook.app

import android.content.Context
import android.net.nsd.NsdManager
import android.net.nsd.NsdServiceInfo
import android.net.wifi.WifiManager
import java.util.Optional
import java.util.concurrent.LinkedBlockingQueue
import java.util.concurrent.TimeUnit.NANOSECONDS
import java.util.concurrent.TimeUnit.SECONDS
import kotlin.jvm.optionals.getOrNull
import org.holebook.app.shell.Finder
import org.holebook.core.SeenShop
import org.holebook.core.shopServiceType

/**
 * Finds shop computers by Android's service discovery (multicast DNS), when one is not at its known
 * addresses. Anyone on the network can announce one, so the results are only candidates.
 *
 * Multicast keeps the radio awake: a search ends soon after the last answer, and after
 * [limitSeconds] at the latest.
 */
class ShopFinder(private val context: Context, private val limitSeconds: Long = 8) : Finder {
    @Volatile
    private var search: Search? = null

    @Synchronized
    override fun find(): List<SeenShop> {
        val nsd = context.getSystemService(NsdManager::class.java) ?: return emptyList()
        val wifi = context.getSystemService(WifiManager::class.java)
        val lock = wifi?.createMulticastLock("holebook")
        val search = Search().also { this.search = it }
        lock?.acquire()
        return try {
            nsd.discoverServices(shopServiceType(), NsdManager.PROTOCOL_DNS_SD, search)
            collect(nsd, search)
        } finally {
            search.stop(nsd)
            lock?.release()
            this.search = null
        }
    }

    /** Ends a running search; it returns what it has found. */
    fun stop() {
        search?.end()
    }

    private fun collect(nsd: NsdManager, search: Search): List<SeenShop> {
        var deadline = System.nanoTime() + SECONDS.toNanos(limitSeconds)
        val seen = mutableListOf<SeenShop>()
        repeat(MAX_SERVICES) {
            val service = search.next(deadline - System.nanoTime()) ?: return seen
            val shop = ServiceResolver(nsd).resolve(service, deadline - System.nanoTime())
            if (shop != null) {
                seen += shop
                deadline = minOf(deadline, System.nanoTime() + SECONDS.toNanos(SETTLE_SECONDS))
            }
        }
        return seen
    }

    /** Queues the events of a search. */
    private class Search : NsdManager.DiscoveryListener {
        private val events = LinkedBlockingQueue<Optional<NsdServiceInfo>>()

        /** The next service; `null` after the time, or if the search has ended. */
        fun next(nanos: Long): NsdServiceInfo? = events.poll(nanos, NANOSECONDS)?.getOrNull()

        fun end() {
            events.add(Optional.empty())
        }

        fun stop(nsd: NsdManager) = try {
            nsd.stopServiceDiscovery(this)
        } catch (_: IllegalArgumentException) {
            // It did not start, or ended by itself.
        }

        override fun onServiceFound(service: NsdServiceInfo) {
            events.add(Optional.of(service))
        }

        override fun onServiceLost(service: NsdServiceInfo) = Unit
        override fun onDiscoveryStarted(type: String) = Unit
        override fun onDiscoveryStopped(type: String) = end()
        override fun onStartDiscoveryFailed(type: String, error: Int) = end()
        override fun onStopDiscoveryFailed(type: String, error: Int) = end()
    }

    private companion object {
        /** More services than this are a flood. */
        const val MAX_SERVICES = 16

        /** How long others may answer after one did. */
        const val SETTLE_SECONDS = 1L
    }
}
