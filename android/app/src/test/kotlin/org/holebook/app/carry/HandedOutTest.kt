package org.holebook.app.carry

import java.io.File
import java.nio.file.Path
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test
import org.junit.jupiter.api.io.TempDir

class HandedOutTest {
    @TempDir
    lateinit var folder: Path

    private val root by lazy { File(folder.toFile(), "handed-out") }
    private val handedOut by lazy { HandedOut(root) }

    @Test
    fun `what is lent is found by its address, and only the camera's place may be written`() {
        val sheet = handedOut.fresh(HandedOut.SHARED, "Cover joint - sheet.html")
        val camera = handedOut.fresh(HandedOut.CAMERA, "photo.jpg")
        val chosen = Basket(File(root, HandedOut.CHOSEN)).put(Kind.PHOTO, "face.jpg", "x".byteInputStream()).file
        for (file in listOf(sheet, camera, chosen)) assertEquals(file, handedOut.find(handedOut.pathOf(file)!!))
        assertTrue(handedOut.isWritable(handedOut.pathOf(camera)!!))
        for (file in listOf(sheet, chosen)) assertFalse(handedOut.isWritable(handedOut.pathOf(file)!!))
    }

    @Test
    fun `no address leads to anything else`() {
        val notebook = File(folder.toFile(), "notebook/notebook.db").apply { parentFile.mkdirs(); writeText("x") }
        handedOut.fresh(HandedOut.SHARED, "sheet.html")
        val wrong = listOf(
            listOf(), listOf("shared"), listOf("shared", "x"), listOf("shared", "..", "sheet.html"), listOf("..", "notebook", "notebook.db"),
            listOf("shared", "../../notebook", "notebook.db"), listOf("shared", "x", "../../../notebook/notebook.db"),
            listOf("", "", ""), listOf("shared", "a\u0000", "b"), listOf("other", "x", "y"),
        )
        for (parts in wrong) assertNull(handedOut.find(parts), parts.toString())
        assertNull(handedOut.pathOf(notebook))
    }

    @Test
    fun `a new file takes the place of the one lent before`() {
        val first = handedOut.fresh(HandedOut.SHARED, "a.html")
        val second = handedOut.fresh(HandedOut.SHARED, "../b.html")
        assertFalse(first.exists())
        assertEquals(root.canonicalFile, second.canonicalFile.parentFile.parentFile.parentFile)
    }
}
