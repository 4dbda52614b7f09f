package org.holebook.app.carry

import java.util.Locale

/** The shell's own lines at the head of a page: what only the phone can do with it, and what other apps brought. */
class Strips(private val incoming: Incoming) {
    /** Those of the page at [address], as HTML. */
    fun of(address: Address): String =
        sheet(address.path) + pairing(address) + photos(address.path) + bundle(address.path)

    private fun sheet(path: String): String {
        val face = SHEET.matchEntire(path)?.groupValues?.get(1) ?: return ""
        return strip("shell-sheet", "", button("/shell/share", "Share this sheet", face) + button("/shell/print", "Print, or save as PDF", face))
    }

    /** A person who scanned a code knows which computer showed it; one who followed a link on some page may not. */
    private fun pairing(address: Address): String {
        if (address.path != PairLink.PAIR || address.asked("code") == null) return ""
        return strip("shell-pairing", "Look twice: this code came by a link. Pair only where your own shop computer shows it now; " +
            "whoever made it can then read all of this notebook and write in it.", "")
    }

    private fun photos(path: String): String {
        val count = incoming.of(Kind.PHOTO).items().size
        if (count == 0) return ""
        val photos = if (count == 1) "One photo that was shared waits" else "$count photos that were shared wait"
        val face = FACE.matchEntire(path)?.groupValues?.get(1)
        val where = if (face == null) " Open the face that ${if (count == 1) "it shows" else "they show"}." else ""
        val bring = if (face == null) "" else
            """<form method="post" action="/face/${Plain.escaped(face)}/photo" data-waiting="photo"><button>Bring ${if (count == 1) "it" else "them"} in here</button></form>"""
        return strip("shell-shared", "$photos to be brought in.$where", bring + button("/shell/leave-out", "Leave ${if (count == 1) "it" else "them"} out"))
    }

    private fun bundle(path: String): String {
        val waiting = incoming.of(Kind.BUNDLE).items()
        val first = waiting.firstOrNull() ?: return ""
        val megabytes = "%.1f".format(Locale.ROOT, first.file.length() / 1e6)
        val more = when (val after = waiting.size - 1) {
            0 -> ""
            1 -> " 1 more waits after it."
            else -> " $after more wait after it."
        }
        val words = "The bundle ${first.name} ($megabytes MB) was shared and waits to be taken in.$more"
        if (path != EXCHANGE) return strip("shell-bundle", words, """<a class="button" href="$EXCHANGE">Look at it</a>""")
        val take = """<form method="post" action="$EXCHANGE/take" data-waiting="bundle"><button>Take it in</button></form>"""
        return strip("shell-bundle", "$words Every line and photo in it is checked, and nothing that you wrote is changed.", take + button("/shell/leave-bundle", "Leave it out"))
    }

    private fun strip(kind: String, words: String, content: String): String {
        val said = if (words.isEmpty()) "" else "<p>${Plain.escaped(words)}</p>"
        return """<div class="shell-strip $kind">$said$content</div>"""
    }

    private fun button(address: String, words: String, face: String? = null): String {
        val field = face?.let { """<input type="hidden" name="face" value="${Plain.escaped(it)}">""" }.orEmpty()
        return """<form method="post" action="$address">$field<button>${Plain.escaped(words)}</button></form>"""
    }

    companion object {
        /** The page of the exchange. */
        const val EXCHANGE = "/exchange"

        private val FACE = Regex("/face/([^/]+)")
        private val SHEET = Regex("/face/([^/]+)/sheet")
    }
}
