package org.holebook.app

import android.content.Context
import java.io.File
import java.util.concurrent.ExecutorService
import java.util.concurrent.Executors
import java.util.concurrent.atomic.AtomicBoolean
import org.holebook.app.shell.Carrier
import org.holebook.app.shell.Drafts
import org.holebook.app.shell.PageBridge
import org.holebook.app.shell.PhoneActions
import org.holebook.app.shell.SharedFiles
import org.holebook.app.shell.SheetRequest
import org.holebook.app.shell.Shell
import org.holebook.app.shell.SyncTask
import org.holebook.core.Notebook
import org.holebook.core.NotebookException

/**
 * The phone's one notebook and all that serves it, for the life of the process. Android may end the
 * process at any moment without notice, so nothing is ever closed: what was acknowledged is on
 * disk.
 */
class AppContainer private constructor(context: Context) {
    /** Actions of the activity on the screen; `null` while there is none. */
    @Volatile
    var phoneActions: PhoneActions? = null

    private val currentActions = object : PhoneActions {
        override fun shareSheet(sheet: SheetRequest) = phoneActions?.shareSheet(sheet) ?: Unit
        override fun shareFile(name: String, type: String, content: ByteArray) =
            phoneActions?.shareFile(name, type, content) ?: Unit
        override fun shareBundle(bundle: File) = phoneActions?.shareBundle(bundle) ?: Unit
        override fun print() = phoneActions?.print() ?: Unit
    }

    private val shell = Shell(
        { Notebook.open(File(context.filesDir, "notebook").path) },
        context.filesDir,
        context.cacheDir,
        currentActions,
        { context.getExternalFilesDir(null)?.resolve("sync") },
        ::onRecorded,
    )

    /** Files that other apps and the WebView may read. */
    val sharedFiles: SharedFiles get() = shell.sharedFiles

    /** Files chosen for a form that is not sent yet. */
    val chosen get() = shell.chosen

    /** Files that other apps shared, waiting until a person decides. */
    val incoming get() = shell.incoming

    /** What was typed and not recorded yet. */
    val drafts: Drafts get() = shell.drafts

    /** Serves the screens. */
    val carrier: Carrier get() = shell.carrier

    /** Handles messages from pages. */
    val bridge: PageBridge get() = shell.bridge

    /** Runs blocking work in order, off the main thread. */
    val worker: ExecutorService = Executors.newSingleThreadExecutor()

    /** Schedules background sync. */
    val syncScheduler = SyncScheduler(context)

    /** Finds shop computers on the network. */
    val finder = ShopFinder(context)

    /** The network that the phone shares with a shop computer. */
    val network = ShopNetwork(context)

    /** A sheet of a face as one file, in the unit of the settings. Blocks. */
    fun sheet(request: SheetRequest): File =
        SheetFile.create(shell.notebook, request, sharedFiles)

    /** A background sync to run once. */
    fun syncTask(): SyncTask = SyncTask({ shell.notebook }, finder)

    /** Schedules background sync while the phone is paired, else cancels it. */
    fun scheduleSync() = worker.execute {
        when (isPaired()) {
            true -> syncScheduler.schedule()
            false -> syncScheduler.cancel()
            null -> Unit
        }
    }

    /** Searches for shop computers in the background, unless a search is running. */
    fun findShops() {
        if (!isSearching.compareAndSet(false, true)) return
        Thread({
            try {
                if (isPaired() == true) orNull { shell.notebook.setSeenShops(finder.find()) }
            } finally {
                isSearching.set(false)
            }
        }, "finder").start()
    }

    private val isSearching = AtomicBoolean()

    private fun onRecorded() {
        if (isPaired() == true) syncScheduler.afterRecording()
    }

    /** `null` if the notebook fails; its pages say why. */
    private fun isPaired(): Boolean? = orNull { shell.notebook.shops().isNotEmpty() }

    private fun <T> orNull(call: () -> T): T? = try {
        call()
    } catch (_: NotebookException) {
        null
    }

    companion object {
        @Volatile
        private var instance: AppContainer? = null

        /** The container of this process. */
        fun of(context: Context): AppContainer = instance ?: synchronized(this) {
            instance ?: AppContainer(context.applicationContext).also { instance = it }
        }
    }
}
