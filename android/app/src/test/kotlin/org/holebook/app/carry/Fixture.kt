package org.holebook.app.carry

import java.io.File
import java.nio.file.Files
import org.holebook.core.Notebook

/** A fresh notebook behind the shell's own code, as a phone has it, over the real library. */
class Fixture : AutoCloseable {
    val folder: File = Files.createTempDirectory("holebook-shell-").toFile()
    val notebook = Notebook.open(File(folder, "notebook").path)
    val chosen = Basket(File(folder, "chosen"))
    val waiting = Basket(File(folder, "waiting"))
    val drafts = Drafts()
    val asked = mutableListOf<String>()
    private val hands = object : Hands {
        override fun shareSheet(face: String) { asked += "share $face" }
        override fun print() { asked += "print" }
    }
    val carrier = Carrier(notebook::answer, ShellPages(waiting, hands, NotebookHome({ notebook }, { File(folder, "files/shelf") })), drafts)
    val line = Line(carrier, chosen, waiting, drafts)

    override fun close() {
        notebook.shutdown()
        notebook.close()
        folder.deleteRecursively()
    }

    companion object {
        /** The checkout's invented sample. */
        val photo = File("../../samples/pump-end-cover/joint-face.jpg")
    }
}
