package org.holebook.app.shell

import java.io.File
import org.holebook.core.Notebook
import org.holebook.core.ShellState
import org.holebook.core.WaitingBundle

/**
 * Wires together all of the shell that does not use Android. [files] holds what must last, [cache]
 * what the phone may delete to free space.
 */
class Shell(
    open: () -> Notebook,
    files: File,
    cache: File,
    actions: PhoneActions,
    cableFolder: () -> File?,
    onRecorded: () -> Unit = {},
) {
    private val shared = File(cache, "shared-files")

    /** The notebook. The first access opens it and blocks; after a failure the next one retries. */
    val notebook: Notebook by lazy {
        val bundles = File(shared, SharedFiles.BUNDLES).apply { mkdirs() }
        open().also { it.setBundleFolder(bundles.path) }
    }

    /** Files that other apps and the WebView may read. */
    val sharedFiles = SharedFiles(shared)

    /** Files chosen for a form that is not sent yet; a page that is loaded again forgets them. */
    val chosen = FileQueue(File(shared, SharedFiles.CHOSEN)).apply { clear() }

    /** Files that other apps shared; not in the cache, since this may be the only copy. */
    val incoming =
        IncomingFiles(FileQueue(File(files, "waiting")), FileQueue(File(files, "waiting-bundles")))

    /** What was typed and not recorded yet. */
    val drafts = Drafts()

    private val screens = Screens { notebook.answer(it) }
    private val cable = CableSync({ notebook }, cableFolder)
    private val routes = ShellRoutes(screens, incoming, actions, cable)

    /** Serves the screens. */
    val carrier = Carrier(screens, routes, drafts, ::state, onRecorded)

    /** Handles messages from pages. */
    val bridge = PageBridge(carrier, chosen, incoming, drafts)

    /** What the pages show of the phone. */
    fun state(): ShellState {
        val bundles = incoming.of(FileKind.BUNDLE).items()
        return ShellState(
            script = ShellRoutes.SCRIPT,
            waitingPhotos = incoming.of(FileKind.PHOTO).items().size.toUInt(),
            waitingBundles = bundles.map { WaitingBundle(it.name, it.file.length().toULong()) },
            cableFolder = cable.folder()?.path,
        )
    }
}
