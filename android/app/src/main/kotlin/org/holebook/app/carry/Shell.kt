package org.holebook.app.carry

import java.io.File
import org.holebook.core.Notebook

/**
 * All of the shell that knows no Android, put together round one notebook. What must last lies in [files], what the phone
 * may take away when it needs room in [cache].
 */
class Shell(
    open: () -> Notebook,
    files: File,
    cache: File,
    hands: Hands,
    cableFolder: () -> File?,
    recorded: () -> Unit = {},
) {
    private val outgoing = File(cache, "handed-out")

    /** The notebook. Opened by whoever asks first, who must be able to wait; where that fails, the next one tries again. */
    val notebook: Notebook by lazy {
        open().also { it.keepBundlesIn(File(outgoing, HandedOut.BUNDLES).apply { mkdirs() }.path) }
    }

    /** Files lent to other apps and to the WebView. */
    val handedOut = HandedOut(outgoing)

    /** Files chosen for a form that is not sent yet; a page that comes anew has forgotten them. */
    val chosen = Basket(File(outgoing, HandedOut.CHOSEN)).apply { empty() }

    /** What came from elsewhere and waits; not in the cache, since nobody else may still have it. */
    val incoming = Incoming(Basket(File(files, "waiting")), Basket(File(files, "waiting-bundles")))

    /** What was typed and not yet recorded. */
    val drafts = Drafts()

    private val screens = Screens { notebook.answer(it) }

    /** Answers what a page looks at. */
    val carrier = Carrier(screens, ShellPages(screens, incoming, hands, NotebookCable({ notebook }, cableFolder)), drafts, recorded)

    /** Hears what a page says. */
    val line = Line(carrier, chosen, incoming, drafts)
}
