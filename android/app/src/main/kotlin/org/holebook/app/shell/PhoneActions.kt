package org.holebook.app.shell

import java.io.File

/** What only the phone can do for a page. */
interface PhoneActions {
    /**
     * Offers a sheet of a face to other apps, as one file: the PDF of a kind of sheet, or the job
     * sheet as a page if [kind] is `null`. Blocks until the file is made.
     */
    fun shareSheet(face: String, kind: String?)

    /** Offers a file that was made for a page to other apps, under a name of plain letters. */
    fun shareFile(name: String, type: String, content: ByteArray)

    /** Offers an exported bundle to other apps. */
    fun shareBundle(bundle: File)

    /** Opens Android's print dialog for the current page; it can also save a PDF. */
    fun print()
}
