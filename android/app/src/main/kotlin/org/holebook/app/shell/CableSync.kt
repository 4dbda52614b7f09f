package org.holebook.app.shell

import java.io.File
import org.holebook.core.Notebook
import org.holebook.core.SyncTarget

/** Sync through a folder that a computer sees when the phone is connected by cable. */
class CableSync(private val notebook: () -> Notebook, private val findFolder: () -> File?) {
    /** The folder; `null` while the phone's shared storage is not available. */
    fun folder(): File? = findFolder()

    /** Starts to sync with [folder] in the background; the sync page shows the progress. */
    fun start(folder: File) {
        folder.parentFile?.mkdirs()
        notebook().startSync(SyncTarget.Folder(folder.path)).close()
    }
}
