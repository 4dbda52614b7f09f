package org.holebook.core

import java.io.File
import java.nio.file.Files
import java.util.concurrent.TimeUnit.SECONDS
import org.json.JSONObject
import org.json.JSONTokener

/**
 * The shop computer's real program, on a notebook of its own with the invented sample or without, serving its shelf on a
 * free port. The Maven build makes it first; HOLEBOOK_BIN names another.
 */
class ShopProgram(sample: Boolean = false) : AutoCloseable {
    private val folder: File = Files.createTempDirectory("holebook-shop-").toFile()
    private val notebook = File(folder, "notebook")
    private var running: Process? = null

    /** The port of its shelf; the same after a restart. */
    var port = 0
        private set

    init {
        if (sample) command("demo", "--no-open")
        open()
    }

    /** Opens it, on the port that it had. */
    fun open() {
        val process = start("open", "--no-open", "--json", "--port", port.toString())
        running = process
        port = firstValue(process).getInt("shelf_port")
    }

    /** Ends it without a word, as a power cut does. */
    fun kill() {
        running?.destroyForcibly()?.waitFor()
        running = null
    }

    /** A code for one device; it is good as long as [use] runs. */
    fun <T> code(use: (Code) -> T): T {
        val pairing = start("pair", "--json", "--port", port.toString())
        try {
            val said = firstValue(pairing)
            return use(Code(said.getString("words"), said.getString("link")))
        } finally {
            pairing.destroy()
            pairing.waitFor()
        }
    }

    /** Runs one of the program's commands on its notebook to the end; gives what it said. */
    fun command(vararg words: String): String {
        val process = start(*words)
        val said = process.inputReader().readText()
        check(process.waitFor(120, SECONDS) && process.exitValue() == 0) { "${words.toList()}: $said" }
        return said
    }

    /** The names of the devices that are paired and not revoked. */
    fun devices(): List<String> {
        val devices = JSONObject(command("devices", "--json")).getJSONArray("devices")
        return (0 until devices.length()).map(devices::getJSONObject).filter { it.isNull("revoked_at") }.map { it.getString("name") }
    }

    /** The photos that lie in its notebook, by their hashes. */
    fun photos(): Set<String> = File(notebook, "photos").list().orEmpty().toSet()

    override fun close() {
        kill()
        folder.deleteRecursively()
    }

    private fun start(vararg words: String): Process =
        ProcessBuilder(listOf(program(), *words, "--notebook", notebook.path))
            .redirectError(File(folder, "complaints"))
            .start()

    private fun firstValue(process: Process): JSONObject {
        val said = StringBuilder()
        val reader = process.inputReader()
        while (true) {
            val line = reader.readLine() ?: error("the program said nothing that can be read: $said ${File(folder, "complaints").readText()}")
            said.appendLine(line)
            runCatching { JSONTokener(said.toString()).nextValue() as JSONObject }.getOrNull()?.let { return it }
        }
    }

    /** A pairing code in its two forms. */
    class Code(val words: String, val link: String)

    companion object {
        private fun program(): String {
            val program = File(System.getenv("HOLEBOOK_BIN") ?: System.getProperty("holebook.program"))
            check(program.canExecute()) { "$program is not built; run: cargo build -p holebook" }
            return program.path
        }
    }
}
