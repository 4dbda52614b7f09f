package org.holebook.core

import java.io.File
import java.util.concurrent.Callable
import java.util.concurrent.CountDownLatch
import java.util.concurrent.Executors
import java.util.concurrent.atomic.AtomicInteger
import org.holebook.core.Bench.Companion.mm
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertThrows
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Assumptions.assumeTrue
import org.junit.jupiter.api.Test

/** The notebook's life in a program: several threads, shutdown, use after the end, and memory. */
class LifeTest {
    @Test
    fun `two threads write at once and nothing is lost`() = Bench().use { bench ->
        val hole = bench.hole(bench.face())
        val threads = Executors.newFixedThreadPool(2)
        val jobs = List(2) { Callable { repeat(50) { bench.book.noteHole(hole, Note("note")) } } }
        threads.invokeAll(jobs).forEach { it.get() }
        threads.shutdown()
        val lines = bench.book.history(Subject.Hole(hole), 1000u).filter { it.kind == "note" }
        assertEquals(100, lines.size)
        assertEquals(lines.map { it.seq }.sorted(), lines.map { it.seq }.distinct().sorted())
        assertTrue(bench.book.verify().findings.isEmpty())
    }

    @Test
    fun `shutdown in mid-work waits for the call that runs, and what was acknowledged is there`() = Bench().use { bench ->
        val hole = bench.hole(bench.face())
        val acknowledged = AtomicInteger()
        val begun = CountDownLatch(1)
        val refused = Executors.newSingleThreadExecutor().submit(
            Callable {
                runCatching {
                    while (true) {
                        bench.book.read(hole, Reading(Quantity.BORE, mm(9.4)))
                        acknowledged.incrementAndGet()
                        begun.countDown()
                    }
                }.exceptionOrNull()
            },
        )
        begun.await()
        bench.book.shutdown()
        assertTrue(refused.get() is NotebookException.Closed, "${refused.get()}")
        Notebook.open(File(bench.folder, "notebook").path).use { again ->
            val bores = again.hole(hole).record.readings.count { it.body.quantity == Quantity.BORE }
            assertEquals(acknowledged.get(), bores)
            assertTrue(again.verify().findings.isEmpty())
            again.shutdown()
        }
    }

    @Test
    fun `after shutdown every call says that the notebook is closed`() = Bench().use { bench ->
        val face = bench.face()
        val hole = bench.hole(face)
        val book = bench.book
        book.shutdown()
        book.shutdown()
        val page = Request(Method.GET, "/")
        val calls = listOf<() -> Any?>(
            { book.castings() }, { book.hole(hole) }, { book.plan(hole) }, { book.noteHole(hole, Note("late")) },
            { book.addPhoto(face, Bench.photo.path) }, { book.settings() },
            { book.answer(page) }, { book.verify() }, { book.panicOnPurpose() },
            { book.beginExchange(ExchangeWith.Every) }, { book.knownShelves() }, { book.forgetShelf("none") },
            { book.entriesToBringHome() }, { book.photosToBringHome() }, { book.writeBundle("/nowhere.zip", BundleOf.ALL) },
            { book.keepBundlesIn("/nowhere") }, { book.pair("no code") }, { book.shops() }, { book.forgetShop("none") },
            { book.seeShopsAt(emptyList()) },
        )
        for (call in calls) assertThrows(NotebookException.Closed::class.java) { call() }
    }

    @Test
    fun `after close the object itself refuses`() {
        val bench = Bench()
        bench.close()
        assertThrows(IllegalStateException::class.java) { bench.book.castings() }
    }

    /** One picture of 1280 by 960 takes some four megabytes while it is decoded; two hundred that stayed would take 800. */
    @Test
    fun `two hundred photos by path and memory does not grow`() = Bench().use { bench ->
        assumeTrue(File("/proc/self/status").exists(), "the kernel tells how much memory a process has")
        val face = bench.face()
        val jpeg = File("../../samples/screens/face.jpg").readBytes()
        val copy = File(bench.folder, "copy.jpg")
        fun add(number: Int): PhotoAdded {
            // A comment of its own (marker FE, length 6) behind the start of the picture makes each a photo of its own.
            val comment = byteArrayOf(-1, 0xfe.toByte(), 0, 6) + "%04d".format(number).toByteArray()
            copy.writeBytes(jpeg.copyOf(2) + comment + jpeg.copyOfRange(2, jpeg.size))
            return bench.book.addPhoto(face, copy.path)
        }
        repeat(20) { add(it) }
        val before = residentMegabytes()
        val hashes = (20 until 220).map { add(it).hash }
        val grown = residentMegabytes() - before
        assertEquals(200, hashes.distinct().size)
        assertTrue(grown < 100, "$grown MB more after 200 photos")
    }

    private fun residentMegabytes(): Long {
        System.gc()
        val line = File("/proc/self/status").readLines().first { it.startsWith("VmRSS:") }
        return line.filter(Char::isDigit).toLong() / 1024
    }
}
