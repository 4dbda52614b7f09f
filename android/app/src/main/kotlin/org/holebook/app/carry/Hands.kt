package org.holebook.app.carry

import java.io.File

/** What only the phone itself can do, asked for by a form of the shell's. */
interface Hands {
    /** Offers the sheet of a face, as one file, to the other apps of the phone. Blocks while the file is made. */
    fun shareSheet(face: String)

    /** Offers a bundle that was written to the other apps of the phone. */
    fun shareBundle(bundle: File)

    /** Opens the phone's own print window for the page that shows, which can also make a PDF of it. */
    fun print()
}
