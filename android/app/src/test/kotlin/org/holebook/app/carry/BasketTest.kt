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

    private fun put(name: String) = basket.put(name, ByteArrayInputStream(name.toByteArray()))

    @Test
    fun `two photos of one name get two, and each keeps its content`() {
        val names = listOf("face.jpg", "face.jpg", "face.jpg", "face").map { put(it).name }
        assertEquals(listOf("face.jpg", "face (2).jpg", "face (3).jpg", "face"), names)
        assertEquals("face.jpg", basket.find("face (3).jpg")!!.file.readText())
        basket.remove(basket.find("face.jpg")!!)
        assertEquals(listOf("face (2).jpg", "face (3).jpg", "face"), basket.photos().map { it.name })
        basket.empty()
        assertTrue(basket.photos().isEmpty())
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
        assertThrows(IOException::class.java) { basket.put("a.jpg", broken) }
        assertTrue(folder.toFile().listFiles().orEmpty().isEmpty())
    }
}
