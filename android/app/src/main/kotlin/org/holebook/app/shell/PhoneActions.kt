package org.holebook.app.shell

import java.io.File

/**
 * A sheet to share: the PDF of a kind of sheet of a face, or the job sheet as a page if [kind] is
 * `null`. [bolts] says how the bolts of a bolt-up sheet are lubricated.
 */
data class SheetRequest(val face: String, val kind: String? = null, val bolts: String? = null)

/** What only the phone can do for a page. */
interface PhoneActions {
    /** Offers a sheet of a face to other apps, as one file. Blocks until the file is made. */
    fun shareSheet(sheet: SheetRequest)

    /** Offers a file that was made for a page to other apps, under a name of plain letters. */
    fun shareFile(name: String, type: String, content: ByteArray)

    /** Offers an exported bundle to other apps. */
    fun shareBundle(bundle: File)

    /** Opens Android's print dialog for the current page; it can also save a PDF. */
    fun print()
}
