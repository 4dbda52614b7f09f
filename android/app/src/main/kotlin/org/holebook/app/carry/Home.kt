package org.holebook.app.carry

import java.io.File
import org.holebook.core.ExchangeReport
import org.holebook.core.Notebook

/** The way home for what was written on this phone: a folder that a computer sees when the phone is connected by cable. */
interface Home {
    /** How many entries would be lost with the phone. */
    fun entriesToBring(): Long

    /** The folder; `null` where the phone's storage is not there just now. */
    fun shelf(): File?

    /** Exchanges with the folder. Blocks until all is on the disk. */
    fun exchange(shelf: File): ExchangeReport
}

/** The way home of a notebook. */
class NotebookHome(private val notebook: () -> Notebook, private val folder: () -> File?) : Home {
    override fun entriesToBring(): Long = notebook().entriesToBringHome().toLong()

    override fun shelf(): File? = folder()

    override fun exchange(shelf: File): ExchangeReport {
        shelf.parentFile?.mkdirs()
        return notebook().exchangeFolder(shelf.path)
    }
}
