package org.holebook.app

import android.net.Uri
import android.webkit.WebMessage
import android.webkit.WebMessagePort
import android.webkit.WebView
import org.holebook.app.carry.Address
import org.holebook.app.carry.Place

/**
 * The shell's end of the line to the page that shows. Not an object put into the page's world (`addJavascriptInterface`
 * gives it to every frame of every origin): a port, handed to a page of the notebook's origin and to no other.
 */
class PageLine(private val view: WebView, private val book: Book) {
    private var port: WebMessagePort? = null

    /** Gives the page that has opened its end. Called on the thread that draws. */
    fun open(hello: Address) {
        shut()
        val (ours, theirs) = view.createWebMessageChannel()
        ours.setWebMessageCallback(object : WebMessagePort.WebMessageCallback() {
            override fun onMessage(port: WebMessagePort, message: WebMessage) = hear(port, message.data.orEmpty())
        })
        port = ours
        view.postWebMessage(WebMessage(book.line.greeting(hello), arrayOf(theirs)), Uri.parse(Place.ORIGIN))
    }

    /** Says something to the page. Called on the thread that draws. */
    fun say(message: String) {
        port?.let { say(it, message) }
    }

    /** Lets go of the page. */
    fun shut() {
        port?.close()
        port = null
    }

    private fun hear(from: WebMessagePort, message: String) {
        book.desk.execute {
            val answer = book.line.hear(message) ?: return@execute
            view.post { say(from, answer) }
        }
    }

    private fun say(to: WebMessagePort, message: String) {
        try {
            to.postMessage(WebMessage(message))
        } catch (_: IllegalStateException) {
            // The page has gone; what it asked for is done all the same, and shows when it is looked at again.
        }
    }
}
