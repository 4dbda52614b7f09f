package org.holebook.core

import java.io.File
import java.io.RandomAccessFile
import java.util.UUID
import org.holebook.core.TestNotebook.Companion.mm
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertThrows
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Assumptions.assumeTrue
import org.junit.jupiter.api.Test
import org.junit.jupiter.api.io.TempDir

/** Each error by its real cause, and the sentence that every one carries. */
class ErrorTest {
    @TempDir
    lateinit var dir: File

    private inline fun <reified E : NotebookException> fails(crossinline call: () -> Any?): E {
        val failed = assertThrows(NotebookException::class.java) { call() }
        assertTrue(failed is E, "$failed is not ${E::class.simpleName}")
        val sentence = failed.toString()
        assertTrue(sentence.length > 20 && '\n' !in sentence, sentence)
        return failed as E
    }

    private fun bytes(name: String, vararg bytes: Byte) =
        File(dir, name).apply { writeBytes(bytes) }.path

    private val database get() = File(dir, "notebook.sqlite")

    @Test
    fun `a folder with other files`() {
        bytes("letter.txt", 1)
        val failed = fails<NotebookException.NotANotebook> { Notebook.open(dir.path) }
        assertEquals(dir.path, failed.path)
    }

    @Test
    fun `a notebook from a newer version`() {
        Notebook.open(dir.path).use { it.shutdown() }
        // SQLite's user_version is the big-endian word at byte 60 of the file ("Database File
        // Format", section 1.3).
        RandomAccessFile(database, "rw").use {
            it.seek(60)
            it.writeInt(999)
        }
        val failed = fails<NotebookException.NewerVersion> { Notebook.open(dir.path) }
        assertEquals(999L, failed.theirs)
    }

    @Test
    fun `a damaged notebook`() {
        Notebook.open(dir.path).use { it.shutdown() }
        RandomAccessFile(database, "rw").use { file ->
            val noise = ByteArray(4096) { 0x5a }
            for (page in 1 until file.length() / 4096) {
                file.seek(page * 4096)
                file.write(noise)
            }
        }
        fails<NotebookException.Damaged> { Notebook.open(dir.path).use { it.castings() } }
    }

    @Test
    fun `a folder that cannot be created`() {
        bytes("file", 1)
        fails<NotebookException.NotWritable> { Notebook.open(File(dir, "file/notebook").path) }
    }

    @Test
    fun `a notebook that another connection has locked`() {
        assumeTrue(File(PYTHON).exists(), "python3 holds the lock")
        Notebook.open(dir.path).use { book ->
            val holder = ProcessBuilder(PYTHON, "-c", HOLD_LOCK, database.path).start()
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
    fun `ids that do not exist`() = TestNotebook().use { test ->
        val book = test.book
        val nobody = UUID.randomUUID().toString()
        val cases = mapOf<String, () -> Any?>(
            "casting" to { book.casting(CastingId(nobody)) },
            "face" to { book.face(FaceId(nobody)) },
            "photo" to { book.photo(PhotoId(nobody)) },
            "hole" to { book.hole(HoleId("not an id")) },
            "entry" to { book.entry(EntryId(nobody)) },
        )
        for ((what, call) in cases) {
            assertEquals(what, fails<NotebookException.NoSuch> { call() }.what)
        }
    }

    @Test
    fun `invalid input records nothing`() = TestNotebook().use { test ->
        val book = test.book
        val hole = test.hole(test.face())
        val entries = { book.history(Subject.Hole(hole), 1000u).size }
        val before = entries()
        for (depth in listOf(mm(0.0), Length(Long.MAX_VALUE))) {
            val reading = HoleEntry.Reading(Reading(Quantity.DEPTH, depth))
            fails<NotebookException.Invalid> { book.record(hole, reading) }
        }
        val emptyNote = HoleEntry.Note(Note("  "))
        fails<NotebookException.Invalid> { book.record(hole, emptyNote) }
        val recorded = book.hole(hole).record.readings[0].entry
        fails<NotebookException.Invalid> { book.strikeOut(recorded, "") }
        val threads = listOf(WantedThread("3/8-17"), WantedThread("3/8-16", bolt = "grade 99"))
        for (thread in threads) {
            val wanted = HoleEntry.WantedThread(thread)
            fails<NotebookException.Unreadable> { book.record(hole, wanted) }
        }
        fails<NotebookException.Unreadable> { mm(Double.NaN) }
        assertEquals(before, entries())
    }

    @Test
    fun `files that are not photos, each with its problem`() = TestNotebook().use { test ->
        val face = test.face()
        val jpeg = TestNotebook.photo.readBytes()
        val heic = ByteArray(4) + "ftypheic".toByteArray() + ByteArray(40)
        val cases = mapOf(
            File(dir, "nowhere.jpg").path to PhotoProblem.UNREADABLE,
            dir.path to PhotoProblem.NOT_A_FILE,
            bytes("empty.jpg") to PhotoProblem.EMPTY,
            bytes("words.jpg", *"Dear diary".toByteArray()) to PhotoProblem.NOT_A_PICTURE,
            bytes("phone.heic", *heic) to PhotoProblem.HEIC,
            bytes("moving.gif", *"GIF89a12345678901234".toByteArray()) to PhotoProblem.OTHER_FORMAT,
            bytes("half.jpg", *jpeg.copyOf(jpeg.size / 2)) to PhotoProblem.TRUNCATED,
        )
        for ((path, problem) in cases) {
            val failed = fails<NotebookException.Photo> { test.book.addPhoto(face, path) }
            assertEquals(problem, failed.problem, path)
        }
        val photo = test.book.addPhoto(face, TestNotebook.photo.path)
        assertTrue(File(test.folder, "notebook/photos/${photo.file.hash}").delete())
        val missing = fails<NotebookException.Photo> { test.book.photoOriginal(photo.id) }
        assertEquals(PhotoProblem.MISSING, missing.problem)
    }

    @Test
    fun `a remote that does not exist`() = TestNotebook().use { test ->
        val target = SyncTarget.Folder("/nowhere/at/all")
        val failed = fails<NotebookException.Remote> { test.book.sync(target) }
        assertEquals(RemoteProblem.NOT_FOUND, failed.problem)
    }

    @Test
    fun `a panic is an internal error that names its call, and the notebook keeps working`() =
        TestNotebook().use { test ->
            val failed = fails<NotebookException.Internal> { test.book.panicOnPurpose() }
            assertEquals("panic_on_purpose", failed.call)
            assertTrue("made on purpose" in failed.reason)
            test.face()
            assertEquals(1, test.book.castings().size)
        }

    /** Includes those that a test cannot cause everywhere, such as a full disk. */
    @Test
    fun `every kind of error carries its sentence`() = TestNotebook().use { test ->
        val base = NotebookException::class.java
        val kinds = base.declaredClasses.filter(base::isAssignableFrom)
        val thrown = generateSequence(0u) { it + 1u }
            .map { runCatching { test.book.failOnPurpose(it) }.exceptionOrNull() }
            .takeWhile { it != null }
            .map { it as NotebookException }
            .toList()
        val names = thrown.map { it.javaClass.simpleName }.toSet()
        assertEquals(kinds.map { it.simpleName }.toSet(), names)
        assertTrue(thrown.all { it.toString().isNotEmpty() })
    }

    private companion object {
        const val PYTHON = "/usr/bin/python3"

        /** Locks the database in its argument until its input ends. */
        val HOLD_LOCK = """
            import sqlite3, sys
            connection = sqlite3.connect(sys.argv[1], isolation_level=None)
            connection.execute('BEGIN IMMEDIATE')
            print('held', flush=True)
            sys.stdin.read()
        """.trimIndent()
    }
}
