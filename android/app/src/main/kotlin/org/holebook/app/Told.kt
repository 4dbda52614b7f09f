package org.holebook.app

import android.content.Context
import android.widget.Toast

/** Words of the shell that no page stands ready to show. */
object Told {
    /** One sentence, for some seconds. Called on the thread that draws. */
    fun briefly(context: Context, sentence: String) = Toast.makeText(context, sentence, Toast.LENGTH_LONG).show()
}
