package org.holebook.core

import java.io.IOException
import java.net.BindException
import java.net.InetAddress
import java.net.ServerSocket
import java.net.Socket
import java.util.concurrent.CountDownLatch
import java.util.concurrent.TimeUnit.SECONDS
import java.util.concurrent.atomic.AtomicInteger
import kotlin.concurrent.thread

/**
 * A proxy between a phone and its shop computer that stalls after so many bytes to the shop, so
 * that a test can act in the middle of a sync.
 */
class StallingProxy(val shop: ShopProgram) : AutoCloseable {
    private val listener = listen()
    private val sockets = mutableListOf<Socket>()
    private var stall: Stall? = null
    private val accepting = thread(isDaemon = true) {
        while (!listener.isClosed) ignoringErrors { forward(listener.accept()) }
    }

    /** The port that the phone connects to. */
    val port: Int get() = listener.localPort

    /** Makes a pairing link of the shop with this proxy as the only address. */
    fun <T> link(use: (String) -> T): T = shop.code { code ->
        val (head, tail) = code.link.split("?", limit = 2)
        val parts = tail.split('&').filterNot { it.startsWith("a=") }
        val ours = parts.take(1) + "a=127.0.0.1:$port" + parts.drop(1)
        use("$head?" + ours.joinToString("&"))
    }

    /** Calls [start], stalls after so many bytes to the shop, calls [then], and continues. */
    fun <R, T> stall(afterBytes: Long, start: () -> R, then: (R) -> T): T {
        val stall = Stall(afterBytes).also { synchronized(this) { stall = it } }
        try {
            val run = start()
            check(stall.reached.await(60, SECONDS)) { "fewer bytes went to the shop" }
            return then(run)
        } finally {
            stall.over.countDown()
        }
    }

    override fun close() {
        listener.close()
        // Until its call returns, the system still accepts connections for it.
        accepting.join()
        synchronized(this) { sockets.forEach(Socket::close) }
    }

    private class Stall(var bytesLeft: Long) {
        val reached = CountDownLatch(1)
        val over = CountDownLatch(1)
    }

    private fun forward(phone: Socket) {
        val server = try {
            Socket(InetAddress.getLoopbackAddress(), shop.port)
        } catch (_: IOException) {
            return phone.close()
        }
        synchronized(this) { sockets += listOf(phone, server) }
        thread(isDaemon = true) { copy(phone, server) { count -> waitIfStalled(count) } }
        thread(isDaemon = true) { copy(server, phone) {} }
    }

    private fun copy(from: Socket, to: Socket, beforeWrite: (Int) -> Unit) = ignoringErrors {
        from.use {
            to.use {
                val buffer = ByteArray(8 * 1024)
                while (true) {
                    val read = from.getInputStream().read(buffer)
                    if (read < 0) return@ignoringErrors
                    beforeWrite(read)
                    to.getOutputStream().write(buffer, 0, read)
                }
            }
        }
    }

    private fun waitIfStalled(count: Int) {
        val stall = synchronized(this) { stall } ?: return
        val isReached = synchronized(stall) {
            stall.bytesLeft -= count
            stall.bytesLeft < 0
        }
        if (!isReached) return
        stall.reached.countDown()
        stall.over.await()
    }

    private inline fun ignoringErrors(work: () -> Unit) = try {
        work()
    } catch (_: IOException) {
        // One of the two closed its connection.
    }

    private companion object {
        // Below the ports that Linux gives to connections (from 32768 up): once the proxy is closed,
        // no other program gets its port by chance, so it stays unreachable.
        const val FIRST_PORT = 20_000
        const val PORTS = 9_000
        val next = AtomicInteger((ProcessHandle.current().pid() % PORTS).toInt())

        fun listen(): ServerSocket {
            while (true) {
                val port = FIRST_PORT + next.getAndIncrement() % PORTS
                try {
                    return ServerSocket(port, 50, InetAddress.getLoopbackAddress())
                } catch (_: BindException) {
                    // Another program uses it: try the next one.
                }
            }
        }
    }
}
