package org.holebook.core

import java.io.File
import java.util.UUID
import org.holebook.core.Bench.Companion.mm
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertThrows
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Assumptions.assumeTrue
import org.junit.jupiter.api.Test
import org.junit.jupiter.api.io.TempDir

/** Each case of an error, made by what makes it in life; and one sentence for the person in every one of them. */
class ErrorTest {
    @TempDir
    lateinit var dir: File

    private inline fun <reified E : NotebookException> fails(crossinline call: () -> Any?): E {
        val failed = assertThrows(NotebookException::class.java) { call() }
        assertTrue(failed is E, "$failed is not ${E::class.simpleName}")
        val sentence = failed.sentence()
        assertTrue(sentence.length > 20 && '\n' !in sentence, sentence)
        assertEquals(sentence, failed.toString())
        return failed as E
    }

    private fun bytes(name: String, vararg bytes: Byte) = File(dir, name).apply { writeBytes(bytes) }.path

    @Test
    fun `a folder of something else`() {
        bytes("letter.txt", 1)
        val failed = fails<NotebookException.NotANotebook> { Notebook.open(dir.path) }
        assertEquals(dir.path, failed.path)
    }

    @Test
    fun `a notebook that a newer version wrote`() {
        Notebook.open(dir.path).use { it.shutdown() }
        // The layout's number is the big-endian word at byte 60 of an SQLite file (its "Database File Format", section 1.3).
        java.io.RandomAccessFile(File(dir, "notebook.sqlite"), "rw").use {
            it.seek(60)
            it.writeInt(9_999)
        }
        val failed = fails<NotebookException.Newer> { Notebook.open(dir.path) }
        assertEquals(9_999L, failed.theirs)
    }

    @Test
    fun `a damaged notebook`() {
        Notebook.open(dir.path).use { it.shutdown() }
        java.io.RandomAccessFile(File(dir, "notebook.sqlite"), "rw").use { file ->
            val rubbish = ByteArray(4096) { 0x5a }
            for (page in 1 until file.length() / 4096) {
                file.seek(page * 4096)
                file.write(rubbish)
            }
        }
        fails<NotebookException.Damaged> { Notebook.open(dir.path).use { it.castings() } }
    }

    @Test
    fun `a folder that cannot be made`() {
        bytes("file", 1)
        fails<NotebookException.NotWritable> { Notebook.open(File(dir, "file/notebook").path) }
    }

    @Test
    fun `a notebook that another connection keeps busy`() {
        assumeTrue(File("/usr/bin/python3").exists(), "python3 holds the lock")
        Notebook.open(dir.path).use { book ->
            val script = "import sqlite3,sys\nc=sqlite3.connect(sys.argv[1],isolation_level=None)\nc.execute('BEGIN IMMEDIATE')\nprint('held',flush=True)\nsys.stdin.read()"
            val holder = ProcessBuilder("/usr/bin/python3", "-c", script, File(dir, "notebook.sqlite").path).start()
            try {
                assertEquals("held", holder.inputReader().readLine())
                fails<NotebookException.Busy> { book.addCasting(CastingBody("Late")) }
            } finally {
                holder.outputStream.close()
                holder.waitFor()
            }
            book.addCasting(CastingBody("In time"))
            book.shutdown()
        }
    }

    @Test
    fun `things that are not there`() = Bench().use { bench ->
        val book = bench.book
        val nobody = UUID.randomUUID().toString()
        val cases = mapOf<String, () -> Any?>(
            "casting" to { book.casting(CastingId(nobody)) },
            "face" to { book.face(FaceId(nobody)) },
            "photo" to { book.photo(PhotoId(nobody)) },
            "hole" to { book.hole(HoleId("no id at all")) },
            "entry" to { book.entry(EntryId(nobody)) },
        )
        for ((what, call) in cases) assertEquals(what, fails<NotebookException.NoSuch> { call() }.what)
    }

    @Test
    fun `what cannot be meant records nothing`() = Bench().use { bench ->
        val book = bench.book
        val hole = bench.hole(bench.face())
        val before = book.history(Subject.Hole(hole), 1000u).size
        fails<NotebookException.Unfit> { book.read(hole, Reading(Quantity.DEPTH, mm(0.0))) }
        fails<NotebookException.Unfit> { book.noteHole(hole, Note("  ")) }
        fails<NotebookException.Unfit> { book.read(hole, Reading(Quantity.DEPTH, Length(Long.MAX_VALUE))) }
        fails<NotebookException.Unfit> { book.strike(book.hole(hole).record.readings[0].entry, "") }
        fails<NotebookException.Unreadable> { book.want(hole, Wanted(thread = "3/8-17")) }
        fails<NotebookException.Unreadable> { book.want(hole, Wanted(thread = "3/8-16", bolt = "grade 99")) }
        fails<NotebookException.Unreadable> { lengthFromMm(Double.NaN) }
        assertEquals(before, book.history(Subject.Hole(hole), 1000u).size)
    }

    @Test
    fun `photos that are none, each with its flaw`() = Bench().use { bench ->
        val face = bench.face()
        val jpeg = Bench.photo.readBytes()
        val heic = ByteArray(4) + "ftypheic".toByteArray() + ByteArray(40)
        val cases = mapOf(
            File(dir, "nowhere.jpg").path to PhotoFlaw.UNREADABLE,
            dir.path to PhotoFlaw.NOT_A_FILE,
            bytes("empty.jpg") to PhotoFlaw.EMPTY,
            bytes("words.jpg", *"Dear diary".toByteArray()) to PhotoFlaw.NOT_A_PICTURE,
            bytes("phone.heic", *heic) to PhotoFlaw.HEIC,
            bytes("moving.gif", *"GIF89a12345678901234".toByteArray()) to PhotoFlaw.OTHER_FORMAT,
            bytes("half.jpg", *jpeg.copyOf(jpeg.size / 2)) to PhotoFlaw.CUT_SHORT,
        )
        for ((path, flaw) in cases) {
            assertEquals(flaw, fails<NotebookException.Photo> { bench.book.addPhoto(face, path) }.flaw, path)
        }
        val photo = bench.book.addPhoto(face, Bench.photo.path)
        assertTrue(File(bench.folder, "notebook/photos/${photo.hash}").delete())
        assertEquals(PhotoFlaw.MISSING, fails<NotebookException.Photo> { bench.book.photoOriginal(photo.photo) }.flaw)
    }

    @Test
    fun `a shelf that is not there`() = Bench().use { bench ->
        val shelf = ExchangeWith.Folder("/nowhere/at/all")
        assertEquals(ShelfTrouble.NOT_THERE, fails<NotebookException.Shelf> { bench.book.exchange(shelf) }.trouble)
    }

    @Test
    fun `a panic is an internal error that names its call, and the notebook goes on`() = Bench().use { bench ->
        val failed = fails<NotebookException.Internal> { bench.book.panicOnPurpose() }
        assertEquals("panic_on_purpose", failed.call)
        assertTrue("made on purpose" in failed.reason)
        bench.face()
        assertEquals(1, bench.book.castings().size)
    }

    /** Those too that a test cannot bring about everywhere, such as a full disk. */
    @Test
    fun `every case crosses with its sentence`() = Bench().use { bench ->
        val cases = NotebookException::class.java.declaredClasses.filter { NotebookException::class.java.isAssignableFrom(it) }
        val crossed = generateSequence(0u) { it + 1u }.map { which ->
            runCatching { bench.book.failOnPurpose(which) }.exceptionOrNull() as NotebookException?
        }.takeWhile { it != null }.filterNotNull().toList()
        assertEquals(cases.map { it.simpleName }.toSet(), crossed.map { it.javaClass.simpleName }.toSet())
        assertTrue(crossed.all { it.sentence().isNotEmpty() })
    }
}
