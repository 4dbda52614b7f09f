package org.holebook.app.shell

import java.io.File
import java.nio.file.Files
import org.holebook.core.Notebook
import org.json.JSONArray
import org.json.JSONObject

/** A new notebook behind the shell's own code, as on a phone, over the real library. */
class PhoneFixture : AutoCloseable {
    val folder: File = Files.createTempDirectory("holebook-shell-").toFile()
    val actions = mutableListOf<String>()
    var recorded = 0
    val cableFolder = File(folder, "external/sync")
    private val phoneActions = object : PhoneActions {
        override fun shareSheet(sheet: SheetRequest) {
            val what = listOfNotNull("share", sheet.kind, sheet.bolts, sheet.face)
            actions += what.joinToString(" ")
        }
        override fun shareFile(name: String, type: String, content: ByteArray) {
            actions += "file $name $type ${content.size}"
        }
        override fun shareBundle(bundle: File) { actions += "bundle ${bundle.path}" }
        override fun print() { actions += "print" }
    }
    val shell = Shell(
        { Notebook.open(File(folder, "notebook").path) },
        File(folder, "files"),
        File(folder, "cache"),
        phoneActions,
        { cableFolder },
        { recorded += 1 },
    )
    val notebook get() = shell.notebook
    val photos get() = shell.incoming.of(FileKind.PHOTO)
    val bundles get() = shell.incoming.of(FileKind.BUNDLE)
    val carrier get() = shell.carrier

    fun page(target: String): String = carrier.get(target).text

    /** Sends a form as a page does; returns the reply. */
    fun send(
        target: String,
        form: Map<String, String> = emptyMap(),
        files: Map<String, String> = emptyMap(),
        more: JSONObject.() -> Unit = {},
    ): JSONObject {
        val message = JSONObject()
            .put("kind", "submit")
            .put("id", 1)
            .put("target", target)
            .put("form", pairs(form))
            .put("files", pairs(files))
            .apply(more)
        return JSONObject(shell.bridge.handle(message.toString())!!)
    }

    /** Sends a form; returns the address of the next page. */
    fun submit(target: String, vararg form: Pair<String, String>): String =
        send(target, form.toMap()).getString("location")

    /** Sends a form with the shared files for [field]; returns the address of the next page. */
    fun submitWaiting(target: String, field: String): String =
        send(target) { put("waiting", field) }.getString("location")

    private fun pairs(all: Map<String, String>) =
        JSONArray(all.map { (name, value) -> JSONArray(listOf(name, value)) })

    /** Waits until nothing is running on the sync page; returns the page. */
    fun syncPage(): String = generateSequence { page("/sync") }
        .onEach { Thread.sleep(50) }
        .first { "/sync/stop" !in it }

    override fun close() {
        notebook.shutdown()
        notebook.close()
        folder.deleteRecursively()
    }

    companion object {
        /** The photo of the repository's invented sample. */
        val photo = File("../../samples/pump-end-cover/joint-face.jpg")
    }
}
