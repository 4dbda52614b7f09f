package org.holebook.app.carry

import org.holebook.core.Response

/** The way home by cable, where a shop has no network: a folder of the phone that a computer sees. */
class CablePage(private val cable: Cable) {
    /** What the page of the exchange says of it. */
    fun leaf(): String = """
        |<section class="leaf" aria-labelledby="cable"><h2 id="cable">By cable</h2>
        |<p>Where there is no network: a folder on this phone, which a computer sees over a cable.</p>
        |<p><a class="button" href="$PATH">Bring home by cable</a></p></section>
    """.trimMargin()

    /** The page. */
    fun page(): Response {
        val folder = cable.folder() ?: return Plain.saying(200, TITLE, NO_STORAGE)
        return Plain.page(200, TITLE, steps(folder.path), Strips.EXCHANGE to "Back to the exchange")
    }

    /** Begins to exchange with the folder, and leads to where it shows how far that is. */
    fun begin(): Response {
        val folder = cable.folder() ?: return Plain.saying(503, TITLE, NO_STORAGE)
        cable.begin(folder)
        return Plain.see(Strips.EXCHANGE)
    }

    private fun steps(folder: String) = """
        |<ol>
        |<li>Press Exchange: what the folder lacks is left in it, what others left there is taken.
        |<form method="post" action="$PATH"><button class="main">Exchange with the folder</button></form></li>
        |<li>Connect the phone to the shop computer by cable and let it show its files. Copy this folder to the computer:
        |<p class="shell-path">${Plain.escaped(folder)}</p></li>
        |<li>There, run <code>holebook exchange --folder</code> with the copy, and copy what is new back into the phone's folder.
        |Nothing in it is ever changed, so copying over loses nothing.</li>
        |<li>Press Exchange once more, to take what the shop wrote.</li>
        |</ol>
        |<p class="faint">Removing the app removes the folder and the notebook.</p>
    """.trimMargin()

    companion object {
        /** The page's address. */
        const val PATH = "/shell/cable"

        private const val TITLE = "Bring home by cable"
        private const val NO_STORAGE = "The phone's storage for other devices to see is not there just now; " +
            "disconnect the cable or put the card back, and look again."
    }
}
