package org.holebook.app.host

import com.sun.net.httpserver.HttpExchange
import com.sun.net.httpserver.HttpServer
import java.io.File
import java.net.InetAddress
import java.net.InetSocketAddress
import java.net.URLDecoder
import java.util.UUID
import java.util.concurrent.Executors
import org.holebook.app.shell.Address
import org.holebook.app.shell.FileKind
import org.holebook.app.shell.PairingLink
import org.holebook.app.shell.PhoneActions
import org.holebook.app.shell.SheetRequest
import org.holebook.app.shell.Shell
import org.holebook.core.Notebook
import org.holebook.core.Response
import org.holebook.core.ResponseBody
import org.json.JSONObject

/**
 * The phone's shell without Android, for the tests in a real browser (tests/browser/harness/
 * phone.mjs): the harness routes the browser's requests here, where the app has a WebView. It
 * listens on loopback only, and answers only requests with the key that it prints.
 *
 *     PhoneHostKt NOTEBOOK-FOLDER PHONE-FOLDER
 */
fun main(args: Array<String>) {
    val (notebook, phone) = args.map(::File)
    val host = PhoneHost(Notebook.open(notebook.path), phone)
    val started = JSONObject()
        .put("address", "https://notebook.invalid/")
        .put("host", host.address)
        .put("key", host.key)
    println(started)
}

private class PhoneHost(notebook: Notebook, folder: File) {
    val key: String = UUID.randomUUID().toString()
    private val actions = mutableListOf<String>()
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
    private val files = File(folder, "files")
    private val cache = File(folder, "cache")
    private val shell = Shell({ notebook }, files, cache, phoneActions, { File(files, "sync") })
    private val loopback = InetAddress.getLoopbackAddress()
    private val server = HttpServer.create(InetSocketAddress(loopback, 0), 0)

    val address: String get() = "http://127.0.0.1:${server.address.port}"

    init {
        server.executor = Executors.newCachedThreadPool()
        on("/get") { reply(it, shell.carrier.get(it.argument("within"), it.argument("method"))) }
        onText("/greeting") { shell.bridge.greeting(Address.parse(it.argument("within"))) }
        onText("/handle") { shell.bridge.handle(it.bodyText()).orEmpty() }
        onText("/step") { shell.bridge.step(forward = it.argument("to") == "next") }
        onText("/choose") { shell.chosen.put(kind(it), it.argument("name"), it.requestBody).name }
        onText("/share") {
            val queue = shell.incoming.of(kind(it))
            queue.put(kind(it), it.argument("name"), it.requestBody).name
        }
        onText("/link-page") { PairingLink.page(it.argument("link")) }
        onText("/save") { shell.drafts.saved() }
        onText("/restore") {
            shell.drafts.restore(it.bodyText())
            ""
        }
        onText("/actions") { actions.joinToString("\n") }
        server.start()
    }

    private fun onText(path: String, answer: (HttpExchange) -> String) =
        on(path) { reply(it, answer(it)) }

    private fun on(path: String, answer: (HttpExchange) -> Unit) {
        server.createContext(path) { exchange ->
            try {
                if (exchange.argument("key") == key) {
                    answer(exchange)
                } else {
                    exchange.sendResponseHeaders(403, -1)
                }
            } finally {
                exchange.close()
            }
        }
    }

    private fun kind(exchange: HttpExchange) =
        FileKind.of(null, exchange.argument("name")) ?: FileKind.PHOTO

    private fun HttpExchange.argument(name: String) =
        URLDecoder.decode(requestHeaders.getFirst("x-$name").orEmpty(), Charsets.UTF_8)

    private fun HttpExchange.bodyText() = requestBody.readBytes().decodeToString()

    private fun reply(exchange: HttpExchange, text: String) {
        val bytes = text.toByteArray()
        exchange.sendResponseHeaders(200, bytes.size.toLong().takeIf { it > 0 } ?: -1)
        if (bytes.isNotEmpty()) exchange.responseBody.write(bytes)
    }

    private fun reply(exchange: HttpExchange, response: Response) {
        response.headers.forEach { exchange.responseHeaders.add(it.name, it.value) }
        val status = response.status.toInt()
        when (val body = response.body) {
            is ResponseBody.Text -> body.value.toByteArray().let { bytes ->
                exchange.sendResponseHeaders(status, bytes.size.toLong())
                exchange.responseBody.write(bytes)
            }
            is ResponseBody.File -> File(body.value).let { file ->
                exchange.sendResponseHeaders(status, file.length())
                file.inputStream().use { it.copyTo(exchange.responseBody) }
            }
            is ResponseBody.Bytes -> {
                exchange.sendResponseHeaders(status, body.value.size.toLong())
                exchange.responseBody.write(body.value)
            }
            ResponseBody.Empty -> exchange.sendResponseHeaders(status, -1)
        }
    }
}
