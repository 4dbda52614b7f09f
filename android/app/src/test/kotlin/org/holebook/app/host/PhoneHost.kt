package org.holebook.app.host

import com.sun.net.httpserver.HttpExchange
import com.sun.net.httpserver.HttpServer
import java.io.File
import java.net.InetAddress
import java.net.InetSocketAddress
import java.net.URLDecoder
import java.util.UUID
import java.util.concurrent.Executors
import org.holebook.app.carry.Address
import org.holebook.app.carry.Hands
import org.holebook.app.carry.Kind
import org.holebook.app.carry.PairLink
import org.holebook.app.carry.Shell
import org.holebook.core.Notebook
import org.holebook.core.Response
import org.holebook.core.ResponseBody
import org.json.JSONObject

/**
 * The phone without the phone, for the tests in a real browser: all of the shell that knows no Android, over the real
 * library. Where the app has a WebView, this answers a test harness that routes a browser's requests here. Only for
 * tests: it listens on loopback, to whoever knows the key that it prints.
 *
 *     PhoneHostKt NOTEBOOK-FOLDER PHONE-FOLDER
 */
fun main(args: Array<String>) {
    val (notebook, phone) = args.map(::File)
    val host = PhoneHost(Notebook.open(notebook.path), phone)
    println(JSONObject().put("address", "https://notebook.invalid/").put("host", host.address).put("key", host.key))
}

private class PhoneHost(notebook: Notebook, folder: File) {
    val key: String = UUID.randomUUID().toString()
    private val asked = mutableListOf<String>()
    private val hands = object : Hands {
        override fun shareSheet(face: String) { asked += "share $face" }
        override fun shareBundle(bundle: File) { asked += "bundle ${bundle.path}" }
        override fun print() { asked += "print" }
    }
    private val shell = Shell({ notebook }, File(folder, "files"), File(folder, "cache"), hands, { File(folder, "files/shelf") })
    private val carrier = shell.carrier
    private val line = shell.line
    private val drafts = shell.drafts
    private val server = HttpServer.create(InetSocketAddress(InetAddress.getLoopbackAddress(), 0), 0)

    val address: String get() = "http://127.0.0.1:${server.address.port}"

    init {
        server.executor = Executors.newCachedThreadPool()
        on("/look") { give(it, carrier.look(it.said("within"), it.said("method"))) }
        on("/greeting") { say(it, line.greeting(Address.read(it.said("within")))) }
        on("/hear") { say(it, line.hear(it.requestBody.readBytes().decodeToString()).orEmpty()) }
        on("/step") { say(it, line.step(it.said("to") == "next")) }
        on("/choose") { say(it, shell.chosen.put(kind(it), it.said("name"), it.requestBody).name) }
        on("/share") { say(it, shell.incoming.of(kind(it)).put(kind(it), it.said("name"), it.requestBody).name) }
        on("/opened") { say(it, PairLink.page(it.said("link"))) }
        on("/save") { say(it, drafts.saved()) }
        on("/restore") { drafts.restore(it.requestBody.readBytes().decodeToString()).also { _ -> say(it, "") } }
        on("/asked") { say(it, asked.joinToString("\n")) }
        server.start()
    }

    private fun on(path: String, answer: (HttpExchange) -> Unit) {
        server.createContext(path) { exchange ->
            exchange.use { if (it.said("key") == key) answer(it) else it.sendResponseHeaders(403, -1) }
        }
    }

    private fun kind(exchange: HttpExchange) = Kind.of(null, exchange.said("name")) ?: Kind.PHOTO

    private fun HttpExchange.said(name: String) = URLDecoder.decode(requestHeaders.getFirst("x-$name").orEmpty(), Charsets.UTF_8)

    private fun say(exchange: HttpExchange, words: String) {
        val bytes = words.toByteArray()
        exchange.sendResponseHeaders(200, bytes.size.toLong().takeIf { it > 0 } ?: -1)
        if (bytes.isNotEmpty()) exchange.responseBody.write(bytes)
    }

    private fun give(exchange: HttpExchange, response: Response) {
        response.headers.forEach { exchange.responseHeaders.add(it.name, it.value) }
        val status = response.status.toInt()
        when (val body = response.body) {
            is ResponseBody.Text -> body.text.toByteArray().let { bytes ->
                exchange.sendResponseHeaders(status, bytes.size.toLong())
                exchange.responseBody.write(bytes)
            }
            is ResponseBody.File -> File(body.path).let { file ->
                exchange.sendResponseHeaders(status, file.length())
                file.inputStream().use { it.copyTo(exchange.responseBody) }
            }
            ResponseBody.Empty -> exchange.sendResponseHeaders(status, -1)
        }
    }
}

private inline fun HttpExchange.use(work: (HttpExchange) -> Unit) = try {
    work(this)
} finally {
    close()
}
