package org.holebook.app.carry

/** What only the phone itself can do, asked for by a form of the shell's. */
interface Hands {
    /** Offers the sheet of a face, as one file, to the other apps of the phone. Blocks while the file is made. */
    fun shareSheet(face: String)

    /** Opens the phone's own print window for the page that shows, which can also make a PDF of it. */
    fun print()
}
