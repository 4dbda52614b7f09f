package org.holebook.app

import android.app.Activity
import android.os.Build
import android.window.OnBackInvokedCallback
import android.window.OnBackInvokedDispatcher

/**
 * The back gesture from API 33 on: the shell must say beforehand whether it has a page to go back to, so that Android can
 * show where the gesture leads. Before, the activity is asked when it happens.
 */
class BackKey(private val activity: Activity, private val back: () -> Unit) {
    private var waits: Any? = null

    /** Says whether there is a page to go back to. */
    fun set(hasPage: Boolean) {
        if (Build.VERSION.SDK_INT < Build.VERSION_CODES.TIRAMISU) return
        val dispatcher = activity.onBackInvokedDispatcher
        val waiting = waits as? OnBackInvokedCallback
        if (hasPage && waiting == null) {
            val callback = OnBackInvokedCallback { back() }
            dispatcher.registerOnBackInvokedCallback(OnBackInvokedDispatcher.PRIORITY_DEFAULT, callback)
            waits = callback
        } else if (!hasPage && waiting != null) {
            dispatcher.unregisterOnBackInvokedCallback(waiting)
            waits = null
        }
    }
}
