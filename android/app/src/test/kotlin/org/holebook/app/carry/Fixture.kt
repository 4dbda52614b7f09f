package org.holebook.app.carry

import java.io.File
import java.nio.file.Files
import org.holebook.core.Notebook

/** A fresh notebook behind the shell's own code, as a phone has it, over the real library. */
class Fixture : AutoCloseable {
    val folder: File = Files.createTempDirectory("holebook-shell-").toFile()
    val asked = mutableListOf<String>()
    var recorded = 0
    private val hands = object : Hands {
        override fun shareSheet(face: String) { asked += "share $face" }
        override fun shareBundle(bundle: File) { asked += "bundle ${bundle.path}" }
        override fun print() { asked += "print" }
    }
    private val shell = Shell(
        { Notebook.open(File(folder, "notebook").path) },
        File(folder, "files"),
        File(folder, "cache"),
        hands,
        { File(folder, "outside/shelf") },
        { recorded += 1 },
    )
    val notebook get() = shell.notebook
    val chosen get() = shell.chosen
    val photos get() = shell.incoming.of(Kind.PHOTO)
    val bundles get() = shell.incoming.of(Kind.BUNDLE)
    val handedOut get() = shell.handedOut
    val drafts get() = shell.drafts
    val carrier get() = shell.carrier
    val line get() = shell.line

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
