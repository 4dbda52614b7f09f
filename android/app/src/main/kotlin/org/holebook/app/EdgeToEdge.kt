package org.holebook.app

import android.os.Build
import android.view.View
import android.view.Window
import android.view.WindowInsets

/** Draws under the system bars, and pads the content away from them and the keyboard. */
object EdgeToEdge {
    /** Pads [view], which fills [window]. */
    fun apply(window: Window, view: View) {
        if (Build.VERSION.SDK_INT < Build.VERSION_CODES.VANILLA_ICE_CREAM) drawUnderBars(window)
        view.setOnApplyWindowInsetsListener { it, insets ->
            pad(it, insets)
            insets
        }
    }

    private fun pad(view: View, insets: WindowInsets) {
        if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.R) {
            val bars = WindowInsets.Type.systemBars() or WindowInsets.Type.displayCutout()
            val area = insets.getInsets(bars or WindowInsets.Type.ime())
            view.setPadding(area.left, area.top, area.right, area.bottom)
        } else {
            padBeforeApi30(view, insets)
        }
    }

    @Suppress("DEPRECATION")
    private fun padBeforeApi30(view: View, insets: WindowInsets) = view.setPadding(
        insets.systemWindowInsetLeft,
        insets.systemWindowInsetTop,
        insets.systemWindowInsetRight,
        insets.systemWindowInsetBottom,
    )

    /** From API 35 on Android does this by itself. */
    @Suppress("DEPRECATION")
    private fun drawUnderBars(window: Window) {
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
