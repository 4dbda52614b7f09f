package org.holebook.app.carry

import org.holebook.core.Pair
import org.holebook.core.Response

/** The shell's own pages and lines: photos that were shared and wait for their face, the sheet's way out, pairing. */
class ShellPages(private val waiting: Basket, private val hands: Hands, home: Home) : Own {
    private val home = HomePage(home)
    private val script = packed("shell.js")
    private val style = packed("shell.css")

    override fun look(address: Address): Response? = when {
        !address.path.startsWith("/shell/") -> null
        address.path == "/shell/shell.js" -> Plain.asset("text/javascript", script)
        address.path == "/shell/shell.css" -> Plain.asset("text/css", style)
        address.path == HELLO -> Plain.nothing()
        address.path == HomePage.PATH -> home.page()
        address.path == "/shell/exchange" -> Plain.see(HomePage.PATH)
        address.path == PAIR -> Plain.saying(200, "Pairing", CANNOT_PAIR)
        else -> Plain.saying(404, "No such page", "Nothing lies at that address; go back to the castings.")
    }

    override fun change(address: Address, form: List<Pair>): Response? {
        val face = form.firstOrNull { it.name == "face" }?.value.orEmpty()
        return when (address.path) {
            "/shell/exchange" -> home.exchange()
            "/shell/leave-out" -> Plain.see("/").also { waiting.empty() }
            "/shell/share" -> Plain.see("/face/$face/sheet").also { hands.shareSheet(face) }
            "/shell/print" -> Plain.see("/face/$face/sheet").also { hands.print() }
            else -> null
        }
    }

    override fun strip(within: String): String {
        val path = within.substringBefore('?')
        return sheet(path) + shared(path)
    }

    override fun badge(within: String): String = if (within.startsWith("/shell/")) "" else home.badge()

    private fun sheet(path: String): String {
        val face = SHEET.matchEntire(path)?.groupValues?.get(1) ?: return ""
        return strip("shell-sheet", "", button("/shell/share", "Share this sheet", face) + button("/shell/print", "Print, or save as PDF", face))
    }

    private fun shared(path: String): String {
        val count = waiting.photos().size
        if (count == 0) return ""
        val photos = if (count == 1) "One photo that was shared waits" else "$count photos that were shared wait"
        val face = FACE.matchEntire(path)?.groupValues?.get(1)
        val where = if (face == null) " Open the face that ${if (count == 1) "it shows" else "they show"}." else ""
        val bring = if (face == null) "" else
            """<form method="post" action="/face/${Plain.escaped(face)}/photo" data-waiting="photo"><button>Bring ${if (count == 1) "it" else "them"} in here</button></form>"""
        return strip("shell-shared", "$photos to be brought in.$where", bring + button("/shell/leave-out", "Leave ${if (count == 1) "it" else "them"} out"))
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
        /** Where a page says that it has opened; see [Line.greeting]. */
        const val HELLO = "/shell/hello"

        /** What a pairing code leads to. */
        const val PAIR = "/shell/pair"

        /** Text that is packed with the classes, so that tests find it where the app does. */
        private fun packed(name: String): String {
            val text = ShellPages::class.java.getResourceAsStream("/holebook/$name")
            return checkNotNull(text) { "$name was not packed with the app" }.use { it.readBytes().decodeToString() }
        }

        private const val CANNOT_PAIR = "This version cannot pair with a shop computer yet; " +
            "bring notes home over a folder until a later version can."
        private val FACE = Regex("/face/([^/]+)")
        private val SHEET = Regex("/face/([^/]+)/sheet")
    }
}
