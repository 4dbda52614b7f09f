package org.holebook.core

import java.io.File
import java.nio.file.Files
import java.util.concurrent.TimeUnit.SECONDS
import org.json.JSONObject
import org.json.JSONTokener

/**
 * The shop computer's real program in a process of its own, with an empty notebook or the invented
 * sample, listening on a free port. The Maven build builds it; HOLEBOOK_BIN names another.
 */
class ShopProgram(sample: Boolean = false) : AutoCloseable {
    private val folder: File = Files.createTempDirectory("holebook-shop-").toFile()
    private val notebook = File(folder, "notebook")
    private val errors = File(folder, "stderr")
    private var running: Process? = null

    /** The port for sync; it stays the same after a restart. */
    var port = 0
        private set

    init {
        if (sample) command("demo", "--no-open")
        open()
    }

    /** Starts it, on the port that it had. */
    fun open() {
        val process = start("open", "--no-open", "--json", "--port", port.toString())
        running = process
        port = firstValue(process).getInt("sync_port")
    }

    /** Kills it, as a power cut does. */
    fun kill() {
        running?.destroyForcibly()?.waitFor()
        running = null
    }

    /** Makes a pairing code that works while [use] runs. */
    fun <T> code(use: (Code) -> T): T {
        val pairing = start("pair", "--json", "--port", port.toString())
        try {
            val code = firstValue(pairing)
            val typed = "127.0.0.1:$port ${code.getString("code")}"
            return use(Code(typed, code.getString("link")))
        } finally {
            pairing.destroy()
            pairing.waitFor()
        }
    }

    /** Runs a command on its notebook; returns the output. */
    fun command(vararg arguments: String): String {
        val process = start(*arguments)
        val output = process.inputReader().readText()
        check(process.waitFor(120, SECONDS) && process.exitValue() == 0) {
            "${arguments.toList()}: $output"
        }
        return output
    }

    /** The names of the paired devices, without revoked ones. */
    fun devices(): List<String> {
        val devices = JSONObject(command("devices", "--json")).getJSONArray("devices")
        return (0 until devices.length()).map(devices::getJSONObject)
            .filter { it.isNull("revoked_at") }
            .map { it.getString("name") }
    }

    /** The hashes of the photos in its notebook. */
    fun photos(): Set<String> = File(notebook, "photos").list().orEmpty().toSet()

    override fun close() {
        kill()
        folder.deleteRecursively()
    }

    private fun start(vararg arguments: String): Process =
        ProcessBuilder(listOf(program(), *arguments, "--notebook", notebook.path))
            .redirectError(errors)
            .start()

    private fun firstValue(process: Process): JSONObject {
        val output = StringBuilder()
        val reader = process.inputReader()
        while (true) {
            val line = reader.readLine() ?: error("no JSON in: $output ${errors.readText()}")
            output.appendLine(line)
            val value = runCatching { JSONTokener(output.toString()).nextValue() as JSONObject }
            value.getOrNull()?.let { return it }
        }
    }

    /** A pairing code as it is typed, with the address, and as a link. */
    class Code(val typed: String, val link: String)

    companion object {
        private fun program(): String {
            val path = System.getenv("HOLEBOOK_BIN") ?: System.getProperty("holebook.program")
            check(File(path).canExecute()) { "$path is not built; run: cargo build -p holebook" }
            return path
        }
    }
}
