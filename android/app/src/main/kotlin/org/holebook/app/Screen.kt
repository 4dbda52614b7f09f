package org.holebook.app

import android.annotation.SuppressLint
import android.content.Context
import android.webkit.CookieManager
import android.webkit.WebSettings
import android.webkit.WebView

/** The WebView that shows the screens, shut to everything else. */
object Screen {
    /** Makes it. */
    @SuppressLint("SetJavaScriptEnabled") // the notebook's own scripts; each page's policy lets in no other
    fun make(context: Context): WebView = WebView(context).apply {
        CookieManager.getInstance().setAcceptCookie(false)
        isSaveEnabled = false // the activity keeps what is needed
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
            // A page can be made larger with two fingers; buttons for it would lie over what is read.
            builtInZoomControls = true
            displayZoomControls = false
        }
    }
}
