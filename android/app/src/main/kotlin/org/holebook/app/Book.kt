package org.holebook.app

import android.content.Context
import java.io.File
import java.util.concurrent.ExecutorService
import java.util.concurrent.Executors
import org.holebook.app.carry.Basket
import org.holebook.app.carry.Carrier
import org.holebook.app.carry.Drafts
import org.holebook.app.carry.Hands
import org.holebook.app.carry.HandedOut
import org.holebook.app.carry.Line
import org.holebook.app.carry.NotebookHome
import org.holebook.app.carry.ShellPages
import org.holebook.core.Notebook

/**
 * The phone's one notebook and what carries it, as long as the process lives. Android may end the process at any moment
 * and says nothing then, so there is no closing either: what was acknowledged is on disk.
 */
class Book private constructor(context: Context) {
    private val outgoing = File(context.cacheDir, "handed-out")

    /** Files lent to other apps and to the WebView. */
    val handedOut = HandedOut(outgoing)

    /** Photos chosen for a form that is not sent yet; gone with the cache when the phone needs room. */
    val chosen = Basket(File(outgoing, HandedOut.CHOSEN)).apply { empty() } // a page that comes anew has forgotten its files

    /** Photos that came from elsewhere and wait for their face; not in the cache, since nobody else may still have them. */
    val waiting = Basket(File(context.filesDir, "waiting"))

    /** What was typed and not yet recorded. */
    val drafts = Drafts()

    /** What the activity that shows does for a page; `null` while none shows. */
    @Volatile
    var hands: Hands? = null

    // Opened by the first request, which comes on a thread that may wait. Where it fails, the next request tries again.
    private val notebook by lazy { Notebook.open(File(context.filesDir, "notebook").path) }

    private val lending = object : Hands {
        override fun shareSheet(face: String) = hands?.shareSheet(face) ?: Unit
        override fun print() = hands?.print() ?: Unit
    }

    /** Answers what a page looks at. */
    val carrier = Carrier(
        { notebook.answer(it) },
        ShellPages(waiting, lending, NotebookHome({ notebook }, { context.getExternalFilesDir(null)?.resolve("shelf") })),
        drafts,
    )

    /** Hears what a page says. */
    val line = Line(carrier, chosen, waiting, drafts)

    /** Where work waits for its turn that must not hold up the screen: one thing after the other. */
    val desk: ExecutorService = Executors.newSingleThreadExecutor()

    /** The sheet of a face as one file, in the unit of the settings. Blocks. */
    fun sheet(face: String): File = SheetFile.make(notebook, face, handedOut)

    companion object {
        @Volatile
        private var book: Book? = null

        /** The notebook of this process. */
        fun of(context: Context): Book =
            book ?: synchronized(this) { book ?: Book(context.applicationContext).also { book = it } }
    }
}
