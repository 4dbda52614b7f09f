package org.holebook.app

import android.os.Build
import android.view.View
import android.view.Window
import android.view.WindowInsets

/** Edge to edge: the paper reaches under the phone's bars, what is written on it keeps clear of them and of the keyboard. */
object Edges {
    /** Lets [view], which fills [window], keep its content clear. */
    fun keepClear(window: Window, view: View) {
        if (Build.VERSION.SDK_INT < Build.VERSION_CODES.VANILLA_ICE_CREAM) reachUnderBars(window)
        view.setOnApplyWindowInsetsListener { it, insets ->
            pad(it, insets)
            insets
        }
    }

    private fun pad(view: View, insets: WindowInsets) {
        if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.R) {
            val kinds = WindowInsets.Type.systemBars() or WindowInsets.Type.displayCutout() or WindowInsets.Type.ime()
            val clear = insets.getInsets(kinds)
            view.setPadding(clear.left, clear.top, clear.right, clear.bottom)
        } else {
            padOld(view, insets)
        }
    }

    @Suppress("DEPRECATION") // the only way there was before API 30
    private fun padOld(view: View, insets: WindowInsets) = view.setPadding(
        insets.systemWindowInsetLeft,
        insets.systemWindowInsetTop,
        insets.systemWindowInsetRight,
        insets.systemWindowInsetBottom,
    )

    /** From API 35 on Android does so by itself. */
    @Suppress("DEPRECATION") // the only way there was before API 35
    private fun reachUnderBars(window: Window) {
        if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.R) {
            window.setDecorFitsSystemWindows(false)
        } else {
            window.decorView.systemUiVisibility = window.decorView.systemUiVisibility or
                View.SYSTEM_UI_FLAG_LAYOUT_STABLE or
                View.SYSTEM_UI_FLAG_LAYOUT_FULLSCREEN or
                View.SYSTEM_UI_FLAG_LAYOUT_HIDE_NAVIGATION
        }
    }
}
