package org.holebook.app

import android.net.Uri
import android.webkit.RenderProcessGoneDetail
import android.webkit.WebResourceRequest
import android.webkit.WebResourceResponse
import android.webkit.WebView
import android.webkit.WebViewClient
import org.holebook.app.carry.Address
import org.holebook.app.carry.Carrier
import org.holebook.app.carry.Place
import org.holebook.app.carry.ShellPages

/** What happens at the gate that the activity must see to. All but [opened] come on the thread that draws. */
interface Gatekeeper {
    /** A page has opened, and said so at this address. Comes on a thread of the WebView's. */
    fun opened(hello: Address)

    /** A link leads out of the notebook. */
    fun leads(outside: Uri)

    /** Another page shows. */
    fun turned()

    /** The WebView's own process has ended; nothing can be done with the view any more. */
    fun broken()
}

/**
 * Stands between the WebView and everything it asks for. What lies in the notebook is answered here; nothing else is let
 * through. The app opens no port for it, and no page reaches a network.
 */
class Gate(private val carrier: Carrier, private val keeper: Gatekeeper) : WebViewClient() {
    override fun shouldInterceptRequest(view: WebView, request: WebResourceRequest): WebResourceResponse? {
        val address = request.url.toString()
        if (request.url.scheme in INSIDE) return null // the page's own bytes; its policy says where it may show them
        if (!Place.holds(address)) return Given.nothing()
        val within = Place.within(address)
        val answer = Given.to(carrier.look(within, request.method))
        if (within.startsWith(ShellPages.HELLO)) keeper.opened(Address.read(within))
        return answer
    }

    override fun shouldOverrideUrlLoading(view: WebView, request: WebResourceRequest): Boolean {
        if (Place.holds(request.url.toString())) return false
        keeper.leads(request.url)
        return true
    }

    override fun doUpdateVisitedHistory(view: WebView, url: String?, isReload: Boolean) = keeper.turned()

    override fun onRenderProcessGone(view: WebView, detail: RenderProcessGoneDetail): Boolean {
        // Left to itself, Android would end the whole app.
        keeper.broken()
        return true
    }

    private companion object {
        val INSIDE = setOf("data", "blob")
    }
}
