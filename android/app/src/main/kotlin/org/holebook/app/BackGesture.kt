package org.holebook.app

import android.app.Activity
import android.os.Build
import android.window.OnBackInvokedCallback
import android.window.OnBackInvokedDispatcher

/**
 * The back gesture from API 33 on: the app has to say beforehand whether it can go back, so that
 * Android can preview where the gesture leads. Before, the activity is asked when it happens.
 */
class BackGesture(private val activity: Activity, private val goBack: () -> Unit) {
    private var registered: Any? = null

    /** Says whether there is a page to go back to. */
    fun setEnabled(canGoBack: Boolean) {
        if (Build.VERSION.SDK_INT < Build.VERSION_CODES.TIRAMISU) return
        val dispatcher = activity.onBackInvokedDispatcher
        val current = registered as? OnBackInvokedCallback
        if (canGoBack && current == null) {
            val callback = OnBackInvokedCallback { goBack() }
            val priority = OnBackInvokedDispatcher.PRIORITY_DEFAULT
            dispatcher.registerOnBackInvokedCallback(priority, callback)
            registered = callback
        } else if (!canGoBack && current != null) {
            dispatcher.unregisterOnBackInvokedCallback(current)
            registered = null
        }
    }
}
