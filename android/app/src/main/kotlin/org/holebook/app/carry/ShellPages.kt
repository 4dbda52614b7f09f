package org.holebook.app.carry

import java.io.File
import org.holebook.core.Method
import org.holebook.core.Pair
import org.holebook.core.Request
import org.holebook.core.Response
import org.holebook.core.ResponseBody

/** The shell's own pages, forms and lines: what was shared and waits, the ways out of sheet and bundle, the way by cable. */
class ShellPages(
    private val screens: Screens,
    private val incoming: Incoming,
    private val hands: Hands,
    cable: Cable,
) : Own {
    private val cable = CablePage(cable)
    private val strips = Strips(incoming)
    private val script = packed("shell.js")
    private val style = packed("shell.css")

    override fun look(address: Address): Response? = when {
        !address.path.startsWith("/shell/") -> null
        address.path == "/shell/shell.js" -> Plain.asset("text/javascript", script)
        address.path == "/shell/shell.css" -> Plain.asset("text/css", style)
        address.path == HELLO -> Plain.nothing()
        address.path == CablePage.PATH -> cable.page()
        address.path == NO_CODE -> Plain.saying(200, "No pairing code", IS_NO_CODE)
        else -> Plain.saying(404, "No such page", "Nothing lies at that address; go back to the castings.")
    }

    override fun change(address: Address, form: List<Pair>): Response? {
        val face = form.firstOrNull { it.name == "face" }?.value.orEmpty()
        return when (address.path) {
            CablePage.PATH -> cable.begin()
            "/shell/leave-out" -> Plain.see("/").also { incoming.of(Kind.PHOTO).empty() }
            "/shell/leave-bundle" -> Plain.see(Strips.EXCHANGE).also { leaveBundle() }
            "/shell/share" -> Plain.see("/face/$face/sheet").also { hands.shareSheet(face) }
            "/shell/print" -> Plain.see("/face/$face/sheet").also { hands.print() }
            HAND_ON -> handOn()
            else -> null
        }
    }

    override fun strip(address: Address): String = strips.of(address)

    override fun foot(address: Address): String = if (address.path == Strips.EXCHANGE) cable.leaf() else ""

    private fun leaveBundle() = with(incoming.of(Kind.BUNDLE)) { items().firstOrNull()?.let(::remove) }

    /** The bundle that was written last, offered to the phone's other apps, which send it or keep it. */
    private fun handOn(): Response {
        val written = screens.answer(Request(Method.GET, "${Strips.EXCHANGE}/file")).body as? ResponseBody.File
        val file = written?.let { File(it.path) }?.takeIf { it.isFile }
            ?: return Plain.saying(410, "No bundle is here", "The bundle is gone, because the phone made room or the app was restarted; write it again.")
        hands.shareBundle(file)
        return Plain.see(Strips.EXCHANGE)
    }

    companion object {
        /** Where a page says that it has opened; see [Line.greeting]. */
        const val HELLO = "/shell/hello"

        /** Where a link leads that holds no pairing code. */
        const val NO_CODE = "/shell/no-code"

        /** Where the bundle that was written last goes out from. */
        const val HAND_ON = "/shell/hand-on"

        /** Text that is packed with the classes, so that tests find it where the app does. */
        private fun packed(name: String): String {
            val text = ShellPages::class.java.getResourceAsStream("/holebook/$name")
            return checkNotNull(text) { "$name was not packed with the app" }.use { it.readBytes().decodeToString() }
        }

        private const val IS_NO_CODE = "The link that was opened holds no pairing code; on the shop computer open Exchange, " +
            "then Pair a device, and scan what it shows, or type its words here under Exchange, Pair."
    }
}
