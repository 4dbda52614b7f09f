package org.holebook.app.carry

import java.io.File
import org.holebook.core.ExchangeWith
import org.holebook.core.Notebook

/** The way home over a folder that a computer sees when the phone is connected by cable. */
interface Cable {
    /** The folder; `null` where the phone's storage is not there just now. */
    fun folder(): File?

    /** Begins to exchange with the folder; the page of the exchange shows how far it is. */
    fun begin(folder: File)
}

/** The way home of a notebook. */
class NotebookCable(private val notebook: () -> Notebook, private val place: () -> File?) : Cable {
    override fun folder(): File? = place()

    override fun begin(folder: File) {
        folder.parentFile?.mkdirs()
        notebook().beginExchange(ExchangeWith.Folder(folder.path)).close()
    }
}
