package org.holebook.app.carry

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

class BasketTest {
    @TempDir
    lateinit var folder: Path

    private val basket by lazy { Basket(folder.toFile()) }

    private fun put(name: String) = basket.put(Kind.PHOTO, name, ByteArrayInputStream(name.toByteArray()))

    @Test
    fun `two photos of one name get two, and each keeps its content`() {
        val names = listOf("face.jpg", "face.jpg", "face.jpg", "face").map { put(it).name }
        assertEquals(listOf("face.jpg", "face (2).jpg", "face (3).jpg", "face"), names)
        assertEquals("face.jpg", basket.find("face (3).jpg")!!.file.readText())
        basket.remove(basket.find("face.jpg")!!)
        assertEquals(listOf("face (2).jpg", "face (3).jpg", "face"), basket.items().map { it.name })
        basket.empty()
        assertTrue(basket.items().isEmpty())
    }

    @Test
    fun `no name leads out of the folder`() {
        val names = listOf("../../notebook.db", "/etc/passwd", "..", "", "a\u0000b", "a/b\\c", "\u202Egpj.exe", ".hidden", "x".repeat(300) + ".jpg")
        for (name in names) {
            val photo = put(name)
            assertTrue(photo.file.canonicalPath.startsWith(folder.toFile().canonicalPath + File.separator), name)
            assertEquals(folder.toFile().canonicalFile, photo.file.canonicalFile.parentFile.parentFile, name)
            assertTrue(photo.name.length in 1..90, name)
        }
    }

    @Test
    fun `a photo that breaks off in the middle leaves nothing`() {
        val broken = object : InputStream() {
            private var left = 100_000
            override fun read(): Int = if (left-- > 0) 7 else throw IOException("the stick was pulled out")
        }
        assertThrows(IOException::class.java) { basket.put(Kind.PHOTO, "a.jpg", broken) }
        assertTrue(folder.toFile().listFiles().orEmpty().isEmpty())
    }

    /** As long as it is asked for: what an app lends need not end. */
    private class Endless : InputStream() {
        override fun read(): Int = 7
        override fun read(into: ByteArray, from: Int, count: Int): Int = count
    }

    @Test
    fun `what is larger than it can be is cut off, and leaves nothing`() {
        val failed = assertThrows(IOException::class.java) { basket.put(Kind.PHOTO, "a.jpg", Endless()) }
        assertTrue("250 MB" in failed.message!!, failed.message)
        assertTrue(folder.toFile().listFiles().orEmpty().isEmpty())
    }

    @Test
    fun `what the phone has no room for is cut off while there is still room to write in the notebook`() {
        val megabyte = 1024L * 1024
        val small = Basket(folder.toFile()) { 102 * megabyte }
        val failed = assertThrows(IOException::class.java) { small.put(Kind.BUNDLE, "a.zip", Endless()) }
        assertTrue("no room" in failed.message!!, failed.message)
        assertTrue(folder.toFile().listFiles().orEmpty().isEmpty())
        assertEquals(megabyte, small.put(Kind.BUNDLE, "b.zip", ByteArrayInputStream(ByteArray(megabyte.toInt()))).file.length())
    }

    @Test
    fun `a file is what the app says that lends it, or else what its name says`() {
        val cases = mapOf(
            ("image/jpeg" to "x") to Kind.PHOTO, ("image/heic" to "x.zip") to Kind.PHOTO,
            ("application/zip" to "x") to Kind.BUNDLE, ("Application/X-Zip-Compressed; a=b" to "x") to Kind.BUNDLE,
            ("application/octet-stream" to "barn.ZIP") to Kind.BUNDLE, (null to "barn.zip") to Kind.BUNDLE,
            ("application/pdf" to "barn.pdf") to null, (null to "barn") to null, ("" to "") to null,
        )
        for ((given, kind) in cases) assertEquals(kind, Kind.of(given.first, given.second), given.toString())
    }
}
