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
import org.holebook.app.carry.Finder
import org.holebook.core.SeenShop
import org.holebook.core.shopServiceType

/**
 * Looks for shop computers by the phone's own service discovery (multicast DNS), where one is not at the addresses that are
 * known of it. Whoever is on the network can say that it is one, so what is found is no more than addresses to try.
 *
 * Listening to multicast keeps a phone's radio awake: it ends soon after the last answer, and at the latest after [limit]
 * seconds.
 */
class ShopFinder(private val context: Context, private val limit: Long = 8) : Finder {
    @Volatile
    private var search: Search? = null

    @Synchronized
    override fun find(): List<SeenShop> {
        val nsd = context.getSystemService(NsdManager::class.java) ?: return emptyList()
        val lock = context.getSystemService(WifiManager::class.java)?.createMulticastLock("holebook")
        val search = Search().also { this.search = it }
        lock?.acquire()
        return try {
            nsd.discoverServices(shopServiceType(), NsdManager.PROTOCOL_DNS_SD, search)
            listen(nsd, search)
        } finally {
            search.shut(nsd)
            lock?.release()
            this.search = null
        }
    }

    /** Ends a search that is under way; it gives what it has found. */
    fun stop() {
        search?.end()
    }

    private fun listen(nsd: NsdManager, search: Search): List<SeenShop> {
        var until = System.nanoTime() + SECONDS.toNanos(limit)
        val seen = mutableListOf<SeenShop>()
        for (number in 1..MOST) {
            val found = search.next(until - System.nanoTime()) ?: break
            seen += Sighting(nsd).of(found, until - System.nanoTime()) ?: continue
            until = minOf(until, System.nanoTime() + SECONDS.toNanos(MORE))
        }
        return seen
    }

    /** What Android tells of a search, one thing after the other. */
    private class Search : NsdManager.DiscoveryListener {
        private val news = LinkedBlockingQueue<Optional<NsdServiceInfo>>()

        /** The next that was found; `null` where there is none in time, or the search is over. */
        fun next(nanos: Long): NsdServiceInfo? = news.poll(nanos, NANOSECONDS)?.getOrNull()

        fun end() {
            news.add(Optional.empty())
        }

        fun shut(nsd: NsdManager) = try {
            nsd.stopServiceDiscovery(this)
        } catch (_: IllegalArgumentException) {
            // It did not begin, or has ended by itself.
        }

        override fun onServiceFound(service: NsdServiceInfo) {
            news.add(Optional.of(service))
        }

        override fun onServiceLost(service: NsdServiceInfo) = Unit
        override fun onDiscoveryStarted(kind: String) = Unit
        override fun onDiscoveryStopped(kind: String) = end()
        override fun onStartDiscoveryFailed(kind: String, error: Int) = end()
        override fun onStopDiscoveryFailed(kind: String, error: Int) = end()
    }

    private companion object {
        /** Answers that are listened to; whoever gives more floods the network. */
        const val MOST = 16

        /** Seconds that others have to answer after the first. */
        const val MORE = 1L
    }
}
