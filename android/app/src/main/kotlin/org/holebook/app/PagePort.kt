package org.holebook.app

import android.net.Uri
import android.webkit.WebMessage
import android.webkit.WebMessagePort
import android.webkit.WebView
import org.holebook.app.shell.Address
import org.holebook.app.shell.NotebookOrigin

/**
 * The message port to the current page. Not `addJavascriptInterface`, which every frame of every
 * origin could call: only a page of the notebook's origin is given this port.
 */
class PagePort(private val view: WebView, private val app: AppContainer) {
    private var port: WebMessagePort? = null

    /** Gives its end to the page that was opened. Call on the main thread. */
    fun open(hello: Address) {
        close()
        val (ours, theirs) = view.createWebMessageChannel()
        ours.setWebMessageCallback(object : WebMessagePort.WebMessageCallback() {
            override fun onMessage(port: WebMessagePort, message: WebMessage) =
                receive(port, message.data.orEmpty())
        })
        port = ours
        val greeting = WebMessage(app.bridge.greeting(hello), arrayOf(theirs))
        view.postWebMessage(greeting, Uri.parse(NotebookOrigin.ORIGIN))
    }

    /** Sends a message to the page. Call on the main thread. */
    fun send(message: String) {
        port?.let { send(it, message) }
    }

    /** Closes the port. */
    fun close() {
        port?.close()
        port = null
    }

    private fun receive(from: WebMessagePort, message: String) {
        app.worker.execute {
            val reply = app.bridge.handle(message) ?: return@execute
            view.post { send(from, reply) }
        }
    }

    private fun send(to: WebMessagePort, message: String) {
        try {
            to.postMessage(WebMessage(message))
        } catch (_: IllegalStateException) {
            // The page is gone. What it asked for is done and shows when it is opened again.
        }
    }
}
