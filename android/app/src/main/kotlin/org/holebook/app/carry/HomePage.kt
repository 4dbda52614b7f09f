package org.holebook.app.carry

import org.holebook.core.ExchangeReport
import org.holebook.core.Response

/** What the phone alone has, and how it comes home. */
class HomePage(private val home: Home) {
    /** For the head of every other page, where it takes no room from the work; empty where nothing is to be brought home. */
    fun badge(): String {
        val count = home.entriesToBring()
        if (count == 0L) return ""
        val words = """<span aria-hidden="true">⇧ </span>$count<span class="hidden"> not home</span>"""
        return """<a class="shell-home" href="$PATH" title="${entries(count)} on this phone alone">$words</a>"""
    }

    /** The page. */
    fun page(): Response {
        val count = home.entriesToBring()
        val there = if (count == 0L) "All that was written on this phone lies on a shelf." else "${entries(count)} on this phone alone, and would be lost with it."
        val shelf = home.shelf() ?: return Plain.page(200, TITLE, paragraph(there) + paragraph(NO_STORAGE))
        return Plain.page(200, TITLE, paragraph(there) + steps(shelf.path))
    }

    /** Exchanges, and says what came of it. */
    fun exchange(): Response {
        val shelf = home.shelf() ?: return Plain.saying(503, TITLE, NO_STORAGE)
        return Plain.page(200, "Exchanged", told(home.exchange(shelf)) + """<p><a class="button" href="$PATH">What comes next</a></p>""")
    }

    private fun told(report: ExchangeReport): String {
        val moved = "Left ${report.entriesLeft} entries and ${report.photosLeft} photos in the folder, " +
            "took ${report.entriesTaken} entries and ${report.photosTaken} photos from it."
        val missing = report.photosMissing.size
        val lacks = if (missing == 0) "" else paragraph("$missing photos that entries name are neither here nor in the folder.")
        return paragraph(moved) + lacks + report.problems.joinToString("") { paragraph(it.sentence) }
    }

    private fun steps(folder: String) = """
        |<ol>
        |<li>Press Exchange: what the folder lacks is left in it, what others left there is taken.
        |<form method="post" action="/shell/exchange"><button class="main">Exchange with the folder</button></form></li>
        |<li>Connect the phone to the shop computer by cable and let it show its files. Copy this folder to the computer:
        |<p class="shell-path">${Plain.escaped(folder)}</p></li>
        |<li>There, run <code>holebook exchange --folder</code> with the copy, and copy what is new back into the phone's folder.
        |Nothing in it is ever changed, so copying over loses nothing.</li>
        |<li>Press Exchange once more, to take what the shop wrote.</li>
        |</ol>
        |<p class="faint">Exchange over the shop's network comes with a later version. Removing the app removes the folder and the notebook.</p>
    """.trimMargin()

    private fun entries(count: Long) = if (count == 1L) "One entry is" else "$count entries are"

    private fun paragraph(words: String) = "<p>${Plain.escaped(words)}</p>"

    companion object {
        /** The page's address. */
        const val PATH = "/shell/home"

        private const val TITLE = "Bring home"
        private const val NO_STORAGE = "The phone's storage for other devices to see is not there just now; " +
            "disconnect the cable or put the card back, and look again."
    }
}
