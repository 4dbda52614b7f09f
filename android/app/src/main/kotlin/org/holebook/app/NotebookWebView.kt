package org.holebook.app

import android.annotation.SuppressLint
import android.content.Context
import android.webkit.CookieManager
import android.webkit.WebSettings
import android.webkit.WebView

/** The WebView for the screens, closed to everything else. */
object NotebookWebView {
    /** Creates it. */
    @SuppressLint("SetJavaScriptEnabled") // each page's policy allows the notebook's scripts only
    fun create(context: Context): WebView = WebView(context).apply {
        CookieManager.getInstance().setAcceptCookie(false)
        isSaveEnabled = false // the activity saves what is needed
        with(settings) {
            javaScriptEnabled = true
            allowFileAccess = false
            allowContentAccess = false
            blockNetworkLoads = true // the app may use the network, its pages may not
            domStorageEnabled = false
            mixedContentMode = WebSettings.MIXED_CONTENT_NEVER_ALLOW
            safeBrowsingEnabled = true
            setGeolocationEnabled(false)
            setSupportMultipleWindows(false)
            javaScriptCanOpenWindowsAutomatically = false
            // Pinch to zoom; zoom buttons would cover the content.
            builtInZoomControls = true
            displayZoomControls = false
        }
    }
}
