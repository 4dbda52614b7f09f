package org.holebook.app.shell

import java.io.ByteArrayInputStream
import java.io.File
import java.io.IOException
import java.io.InputStream
import java.nio.file.Path
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertThrows
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test
import org.junit.jupiter.api.io.TempDir

/** Files from other apps: names, order, size limits, free space. */
class FileQueueTest {
    @TempDir
    lateinit var tempDir: Path

    private val folder by lazy { tempDir.toFile() }
    private val queue by lazy { FileQueue(folder) }

    private fun put(name: String) =
        queue.put(FileKind.PHOTO, name, ByteArrayInputStream(name.toByteArray()))

    private fun isEmpty() = folder.listFiles().orEmpty().isEmpty()

    @Test
    fun `photos of the same name get different names and keep their content`() {
        val names = listOf("face.jpg", "face.jpg", "face.jpg", "face").map { put(it).name }
        assertEquals(listOf("face.jpg", "face (2).jpg", "face (3).jpg", "face"), names)
        assertEquals("face.jpg", queue.find("face (3).jpg")!!.file.readText())
        queue.remove(queue.find("face.jpg")!!)
        assertEquals(names.drop(1), queue.items().map { it.name })
        queue.clear()
        assertTrue(queue.items().isEmpty())
    }

    @Test
    fun `no name leads out of the folder`() {
        val names = listOf(
            "../../notebook.db",
            "/etc/passwd",
            "..",
            "",
            "a\u0000b",
            "a/b\\c",
            "\u202Egpj.exe",
            ".hidden",
            "x".repeat(300) + ".jpg",
        )
        for (name in names) {
            val photo = put(name)
            val path = photo.file.canonicalFile
            assertTrue(path.path.startsWith(folder.canonicalPath + File.separator), name)
            assertEquals(folder.canonicalFile, path.parentFile.parentFile, name)
            assertTrue(photo.name.length in 1..90, name)
        }
    }

    @Test
    fun `a failed copy leaves nothing`() {
        val broken = object : InputStream() {
            private var left = 100_000
            override fun read(): Int =
                if (left-- > 0) 7 else throw IOException("the stick was pulled out")
        }
        assertThrows(IOException::class.java) { queue.put(FileKind.PHOTO, "a.jpg", broken) }
        assertTrue(isEmpty())
    }

    /** A stream without an end, which another app may well send. */
    private class Endless : InputStream() {
        override fun read(): Int = 7
        override fun read(into: ByteArray, from: Int, count: Int): Int = count
    }

    @Test
    fun `a file that is too large is cut off and leaves nothing`() {
        val failed = assertThrows(IOException::class.java) {
            queue.put(FileKind.PHOTO, "a.jpg", Endless())
        }
        assertTrue("250 MB" in failed.message!!, failed.message)
        assertTrue(isEmpty())
    }

    @Test
    fun `a copy stops while there is still space for the notebook`() {
        val megabyte = 1024 * 1024
        val small = FileQueue(folder) { 102L * megabyte }
        val failed = assertThrows(IOException::class.java) {
            small.put(FileKind.BUNDLE, "a.zip", Endless())
        }
        assertTrue("storage is full" in failed.message!!, failed.message)
        assertTrue(isEmpty())
        val fits = small.put(FileKind.BUNDLE, "b.zip", ByteArrayInputStream(ByteArray(megabyte)))
        assertEquals(megabyte.toLong(), fits.file.length())
    }

    @Test
    fun `the kind is known by media type, or else by name`() {
        val cases = mapOf(
            ("image/jpeg" to "x") to FileKind.PHOTO,
            ("image/heic" to "x.zip") to FileKind.PHOTO,
            ("application/zip" to "x") to FileKind.BUNDLE,
            ("Application/X-Zip-Compressed; a=b" to "x") to FileKind.BUNDLE,
            ("application/octet-stream" to "barn.ZIP") to FileKind.BUNDLE,
            (null to "barn.zip") to FileKind.BUNDLE,
            ("application/pdf" to "barn.pdf") to null,
            (null to "barn") to null,
            ("" to "") to null,
        )
        for ((file, kind) in cases) {
            assertEquals(kind, FileKind.of(file.first, file.second), file.toString())
        }
    }
}
