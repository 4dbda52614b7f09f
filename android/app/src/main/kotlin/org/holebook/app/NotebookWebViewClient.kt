package org.holebook.app

import android.net.Uri
import android.webkit.RenderProcessGoneDetail
import android.webkit.WebResourceRequest
import android.webkit.WebResourceResponse
import android.webkit.WebView
import android.webkit.WebViewClient
import org.holebook.app.shell.Address
import org.holebook.app.shell.Carrier
import org.holebook.app.shell.NotebookOrigin
import org.holebook.app.shell.ShellRoutes

/** Events of the WebView for the activity. All but [onPageOpened] come on the main thread. */
interface WebViewEvents {
    /** A page was opened and announced itself at this address. Comes on a WebView thread. */
    fun onPageOpened(hello: Address)

    /** A link leads out of the notebook. */
    fun onExternalLink(uri: Uri)

    /** Another page is shown. */
    fun onPageChanged()

    /** The WebView's renderer process ended; the view cannot be used any more. */
    fun onRendererGone()
}

/**
 * Intercepts every request of the WebView. Requests within the notebook are answered here, all
 * others are denied. The app opens no port, and no page reaches a network.
 */
class NotebookWebViewClient(
    private val carrier: Carrier,
    private val events: WebViewEvents,
) : WebViewClient() {
    override fun shouldInterceptRequest(
        view: WebView,
        request: WebResourceRequest,
    ): WebResourceResponse? {
        val address = request.url.toString()
        if (request.url.scheme in INLINE_SCHEMES) return null // the page's policy governs these
        if (!NotebookOrigin.contains(address)) return WebResponses.forbidden()
        val target = NotebookOrigin.targetOf(address)
        val response = WebResponses.of(carrier.get(target, request.method))
        if (target.startsWith(ShellRoutes.HELLO)) events.onPageOpened(Address.parse(target))
        return response
    }

    override fun shouldOverrideUrlLoading(view: WebView, request: WebResourceRequest): Boolean {
        if (NotebookOrigin.contains(request.url.toString())) return false
        events.onExternalLink(request.url)
        return true
    }

    override fun doUpdateVisitedHistory(view: WebView, url: String?, isReload: Boolean) =
        events.onPageChanged()

    override fun onRenderProcessGone(view: WebView, detail: RenderProcessGoneDetail): Boolean {
        events.onRendererGone()
        return true // otherwise Android ends the whole app
    }

    private companion object {
        val INLINE_SCHEMES = setOf("data", "blob")
    }
}
