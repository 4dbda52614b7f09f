package org.holebook.core

import java.io.IOException
import java.net.InetAddress
import java.net.ServerSocket
import java.net.Socket
import java.util.concurrent.CountDownLatch
import java.util.concurrent.TimeUnit.SECONDS
import kotlin.concurrent.thread

/**
 * Stands between a phone and its shop computer, as a network does: carries bytes to and fro, and stands still when so many
 * have gone to the shop, so that a test meets an exchange in its middle.
 */
class Relay(val shop: ShopProgram) : AutoCloseable {
    private val listener = ServerSocket(0, 50, InetAddress.getLoopbackAddress())
    private val sockets = mutableListOf<Socket>()
    private var stop: Stop? = null

    /** Where the phone finds the shop computer. */
    val port: Int get() = listener.localPort

    init {
        thread(isDaemon = true) {
            while (!listener.isClosed) quietly { carry(listener.accept()) }
        }
    }

    /** The shop's code, with this for its one address. */
    fun <T> link(use: (String) -> T): T = shop.code { code ->
        val (head, tail) = code.link.split("?", limit = 2)
        val parts = tail.split('&').filterNot { it.startsWith("a=") }
        use("$head?" + (parts.take(1) + "a=127.0.0.1:$port" + parts.drop(1)).joinToString("&"))
    }

    /** Has it stand still after so many more bytes to the shop; runs [then] while it does, and lets it go on. */
    fun <R, T> standStill(after: Long, begin: () -> R, then: (R) -> T): T {
        val stop = Stop(after).also { synchronized(this) { stop = it } }
        try {
            val run = begin()
            check(stop.reached.await(60, SECONDS)) { "not so many bytes went to the shop" }
            return then(run)
        } finally {
            stop.over.countDown()
        }
    }

    override fun close() {
        listener.close()
        synchronized(this) { sockets.forEach(Socket::close) }
    }

    private class Stop(var left: Long) {
        val reached = CountDownLatch(1)
        val over = CountDownLatch(1)
    }

    private fun carry(phone: Socket) {
        val there = try {
            Socket(InetAddress.getLoopbackAddress(), shop.port)
        } catch (_: IOException) {
            return phone.close()
        }
        synchronized(this) { sockets += listOf(phone, there) }
        thread(isDaemon = true) { pump(phone, there) { count -> pass(count) } }
        thread(isDaemon = true) { pump(there, phone) {} }
    }

    private fun pump(from: Socket, to: Socket, passing: (Int) -> Unit) = quietly {
        from.use {
            to.use {
                val piece = ByteArray(8 * 1024)
                while (true) {
                    val read = from.getInputStream().read(piece)
                    if (read < 0) return@quietly
                    passing(read)
                    to.getOutputStream().write(piece, 0, read)
                }
            }
        }
    }

    private fun pass(count: Int) {
        val stop = synchronized(this) { stop } ?: return
        val isHere = synchronized(stop) { stop.left -= count; stop.left < 0 }
        if (!isHere) return
        stop.reached.countDown()
        stop.over.await()
    }

    private inline fun quietly(work: () -> Unit) = try {
        work()
    } catch (_: IOException) {
        // One of the two has gone.
    }
}
