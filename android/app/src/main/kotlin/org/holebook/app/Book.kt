package org.holebook.app

import android.content.Context
import java.io.File
import java.util.concurrent.ExecutorService
import java.util.concurrent.Executors
import java.util.concurrent.atomic.AtomicBoolean
import org.holebook.app.carry.Carrier
import org.holebook.app.carry.Drafts
import org.holebook.app.carry.Errand
import org.holebook.app.carry.Hands
import org.holebook.app.carry.HandedOut
import org.holebook.app.carry.Line
import org.holebook.app.carry.Shell
import org.holebook.core.Notebook
import org.holebook.core.NotebookException

/**
 * The phone's one notebook and what carries it, as long as the process lives. Android may end the process at any moment
 * and says nothing then, so there is no closing either: what was acknowledged is on disk.
 */
class Book private constructor(context: Context) {
    /** What the activity that shows does for a page; `null` while none shows. */
    @Volatile
    var hands: Hands? = null

    private val lending = object : Hands {
        override fun shareSheet(face: String) = hands?.shareSheet(face) ?: Unit
        override fun shareBundle(bundle: File) = hands?.shareBundle(bundle) ?: Unit
        override fun print() = hands?.print() ?: Unit
    }

    private val shell = Shell(
        { Notebook.open(File(context.filesDir, "notebook").path) },
        context.filesDir,
        context.cacheDir,
        lending,
        { context.getExternalFilesDir(null)?.resolve("shelf") },
        ::recorded,
    )

    /** Files lent to other apps and to the WebView. */
    val handedOut: HandedOut get() = shell.handedOut

    /** Files chosen for a form that is not sent yet. */
    val chosen get() = shell.chosen

    /** What other apps shared, and what waits until a person says where it goes. */
    val incoming get() = shell.incoming

    /** What was typed and not yet recorded. */
    val drafts: Drafts get() = shell.drafts

    /** Answers what a page looks at. */
    val carrier: Carrier get() = shell.carrier

    /** Hears what a page says. */
    val line: Line get() = shell.line

    /** Where work waits for its turn that must not hold up the screen: one thing after the other. */
    val desk: ExecutorService = Executors.newSingleThreadExecutor()

    /** When the way home is tried by itself. */
    val errands = Errands(context)

    /** Looks for shop computers on the network. */
    val finder = ShopFinder(context)

    /** The network that the phone shares with a shop computer. */
    val network = ShopNetwork(context)

    /** The sheet of a face as one file, in the unit of the settings. Blocks. */
    fun sheet(face: String): File = SheetFile.make(shell.notebook, face, handedOut)

    /** The way home, to be gone once. */
    fun errand(): Errand = Errand({ shell.notebook }, finder)

    /** Sees to it, in the background, that the way home is tried by itself, as long as there is one. */
    fun plan() = desk.execute {
        when (isPaired()) {
            true -> errands.plan()
            false -> errands.cancel()
            null -> Unit
        }
    }

    /** Looks where the shop computers are now, in the background, unless somebody looks already. */
    fun lookForShops() {
        if (!isLooking.compareAndSet(false, true)) return
        Thread({
            try {
                if (isPaired() == true) orNothing { shell.notebook.seeShopsAt(finder.find()) }
            } finally {
                isLooking.set(false)
            }
        }, "finder").start()
    }

    private val isLooking = AtomicBoolean()

    private fun recorded() {
        if (isPaired() == true) errands.afterRecording()
    }

    /** `null` where the notebook is in trouble, which its pages say. */
    private fun isPaired(): Boolean? = orNothing { shell.notebook.shops().isNotEmpty() }

    private fun <T> orNothing(work: () -> T): T? = try {
        work()
    } catch (_: NotebookException) {
        null
    }

    companion object {
        @Volatile
        private var book: Book? = null

        /** The notebook of this process. */
        fun of(context: Context): Book =
            book ?: synchronized(this) { book ?: Book(context.applicationContext).also { book = it } }
    }
}
