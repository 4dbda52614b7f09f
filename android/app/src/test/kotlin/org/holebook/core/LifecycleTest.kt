package org.holebook.core

import java.io.File
import java.util.concurrent.Callable
import java.util.concurrent.CountDownLatch
import java.util.concurrent.Executors
import java.util.concurrent.atomic.AtomicInteger
import org.holebook.core.TestNotebook.Companion.mm
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertThrows
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Assumptions.assumeTrue
import org.junit.jupiter.api.Test

/** Threads, shutdown, use after shutdown, and memory. */
class LifecycleTest {
    @Test
    fun `two threads record at once and nothing is lost`() = TestNotebook().use { test ->
        val hole = test.hole(test.face())
        val note = HoleEntry.Note(Note("note"))
        val threads = Executors.newFixedThreadPool(2)
        val jobs = List(2) { Callable { repeat(50) { test.book.record(hole, note) } } }
        threads.invokeAll(jobs).forEach { it.get() }
        threads.shutdown()
        val history = test.book.history(Subject.Hole(hole), 1000u)
        val notes = history.filter { it.kind == "note" }
        assertEquals(100, notes.size)
        assertEquals(100, notes.map { it.seq }.distinct().size)
        assertTrue(test.book.verify().findings.isEmpty())
    }

    @Test
    fun `shutdown waits for the running call and keeps what was acknowledged`() =
        TestNotebook().use { test ->
            val hole = test.hole(test.face())
            val bore = HoleEntry.Reading(Reading(Quantity.BORE, mm(9.4)))
            val acknowledged = AtomicInteger()
            val started = CountDownLatch(1)
            val recordUntilFailure = Callable {
                runCatching {
                    while (true) {
                        test.book.record(hole, bore)
                        acknowledged.incrementAndGet()
                        started.countDown()
                    }
                }.exceptionOrNull()
            }
            val failure = Executors.newSingleThreadExecutor().submit(recordUntilFailure)
            started.await()
            test.book.shutdown()
            assertTrue(failure.get() is NotebookException.Closed, "${failure.get()}")
            Notebook.open(File(test.folder, "notebook").path).use { again ->
                val readings = again.hole(hole).record.readings
                val bores = readings.count { it.body.quantity == Quantity.BORE }
                assertEquals(acknowledged.get(), bores)
                assertTrue(again.verify().findings.isEmpty())
                again.shutdown()
            }
        }

    @Test
    fun `after shutdown every call fails with Closed`() = TestNotebook().use { test ->
        val face = test.face()
        val hole = test.hole(face)
        val book = test.book
        book.shutdown()
        book.shutdown()
        val calls = listOf<() -> Any?>(
            { book.castings() },
            { book.hole(hole) },
            { book.plan(hole) },
            { book.record(hole, HoleEntry.Note(Note("late"))) },
            { book.addPhoto(face, TestNotebook.photo.path) },
            { book.settings() },
            { book.answer(Request(Method.GET, "/")) },
            { book.verify() },
            { book.panicOnPurpose() },
            { book.startSync(SyncTarget.All) },
            { book.knownRemotes() },
            { book.forgetRemote("none") },
            { book.entriesNotSynced() },
            { book.photosNotSynced() },
            { book.writeBundle("/nowhere.zip", BundleContent.ALL) },
            { book.setBundleFolder("/nowhere") },
            { book.pair("no code") },
            { book.shops() },
            { book.setSeenShops(emptyList()) },
        )
        for (call in calls) assertThrows(NotebookException.Closed::class.java) { call() }
    }

    @Test
    fun `after close the object itself fails`() {
        val test = TestNotebook()
        test.close()
        assertThrows(IllegalStateException::class.java) { test.book.castings() }
    }

    /** A decoded photo of 1280 by 960 takes about 4 MB; 200 that leaked would take 800 MB. */
    @Test
    fun `memory does not grow over 200 photos`() = TestNotebook().use { test ->
        assumeTrue(STATUS.exists(), "the kernel reports the memory of a process")
        val face = test.face()
        val jpeg = File("../../samples/screens/face.jpg").readBytes()
        val marker = jpeg.indices.first { jpeg[it] == FF && jpeg[it + 1] == DB }
        val copy = File(test.folder, "copy.jpg")
        fun add(number: Int): AddedPhoto {
            // Unique pixels: the last of 64 values in the first quantization table, after marker
            // FFDB, two bytes of length and one of precision (ITU-T T.81, section B.2.4.1).
            val unique = jpeg.clone()
            unique[marker + 5 + 63] = (number + 1).toByte()
            copy.writeBytes(unique)
            return test.book.addPhoto(face, copy.path)
        }
        repeat(20) { add(it) }
        val before = residentMegabytes()
        val hashes = (20 until 220).map { add(it).file.hash }
        val grown = residentMegabytes() - before
        assertEquals(200, hashes.distinct().size)
        assertTrue(grown < 100, "$grown MB more after 200 photos")
    }

    private fun residentMegabytes(): Long {
        System.gc()
        val line = STATUS.readLines().first { it.startsWith("VmRSS:") }
        return line.filter(Char::isDigit).toLong() / 1024
    }

    private companion object {
        val STATUS = File("/proc/self/status")
        const val FF = 0xff.toByte()
        const val DB = 0xdb.toByte()
    }
}
