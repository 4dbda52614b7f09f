package org.holebook.app

import android.content.Context
import android.widget.Toast

/** Messages that no page can show. */
object Toasts {
    /** Shows one sentence for a few seconds. Call on the main thread. */
    fun show(context: Context, sentence: String) =
        Toast.makeText(context, sentence, Toast.LENGTH_LONG).show()
}
