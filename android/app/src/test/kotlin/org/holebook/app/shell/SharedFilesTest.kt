package org.holebook.app.shell

import java.io.File
import java.nio.file.Path
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test
import org.junit.jupiter.api.io.TempDir

/** Addresses of shared files give access to those files and to nothing else. */
class SharedFilesTest {
    @TempDir
    lateinit var tempDir: Path

    private val root by lazy { File(tempDir.toFile(), "shared-files") }
    private val shared by lazy { SharedFiles(root) }

    @Test
    fun `shared files are found by their path, and only the camera's is writable`() {
        val sheet = shared.create(SharedFiles.SHEETS, "Cover joint - job sheet.html")
        val camera = shared.create(SharedFiles.CAMERA, "photo.jpg")
        val queue = FileQueue(File(root, SharedFiles.CHOSEN))
        val chosen = queue.put(FileKind.PHOTO, "face.jpg", "x".byteInputStream()).file
        for (file in listOf(sheet, camera, chosen)) {
            val path = shared.pathOf(file)!!
            assertEquals(file, shared.find(path))
            assertEquals(file == camera, shared.isWritable(path))
        }
    }

    @Test
    fun `no path leads to another file`() {
        val notebook = File(tempDir.toFile(), "notebook/notebook.db")
        notebook.parentFile.mkdirs()
        notebook.writeText("x")
        shared.create(SharedFiles.SHEETS, "sheet.html")
        val wrong = listOf(
            listOf(),
            listOf("sheets"),
            listOf("sheets", "x"),
            listOf("sheets", "..", "sheet.html"),
            listOf("..", "notebook", "notebook.db"),
            listOf("sheets", "../../notebook", "notebook.db"),
            listOf("sheets", "x", "../../../notebook/notebook.db"),
            listOf("", "", ""),
            listOf("sheets", "a\u0000", "b"),
            listOf("other", "x", "y"),
        )
        for (parts in wrong) assertNull(shared.find(parts), parts.toString())
        assertNull(shared.pathOf(notebook))
    }

    @Test
    fun `a new file replaces the earlier one of its kind`() {
        val first = shared.create(SharedFiles.SHEETS, "a.html")
        val second = shared.create(SharedFiles.SHEETS, "../b.html")
        assertFalse(first.exists())
        assertTrue(second.exists())
        assertEquals(root.canonicalFile, second.canonicalFile.parentFile.parentFile.parentFile)
    }
}
