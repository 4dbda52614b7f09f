package org.holebook.app.shell

import java.io.File
import org.holebook.core.Method
import org.holebook.core.Pair
import org.holebook.core.Request
import org.holebook.core.Response
import org.holebook.core.ResponseBody

/**
 * The addresses under `/shell/`, which the shell answers itself: its script, and the forms that the
 * screens show for what only the phone can do (bindings/screens/src/banners.rs).
 */
class ShellRoutes(
    private val screens: Screens,
    private val incoming: IncomingFiles,
    private val actions: PhoneActions,
    private val cable: CableSync,
) {
    private val script =
        SCRIPT_FILES.joinToString("\n", "(() => {\n", "})();\n", transform = ::resource)

    /** The response to a page request; `null` if the address is not the shell's. */
    fun get(address: Address): Response? = when {
        !address.path.startsWith("/shell/") -> null
        address.path == SCRIPT -> ShellPages.script(script)
        address.path == HELLO -> ShellPages.empty()
        address.path == NO_CODE -> ShellPages.message(200, "No pairing code", NO_CODE_TEXT)
        else -> ShellPages.message(404, "Page not found", "There is no page at that address.")
    }

    /** Processes a form; returns `null` if the address is not the shell's. */
    fun post(address: Address, form: List<Pair>): Response? {
        val value = { name: String -> form.firstOrNull { it.name == name }?.value }
        val face = value("face").orEmpty()
        return when (address.path) {
            "/shell/sync-cable" -> syncCable()
            "/shell/discard-photos" -> {
                incoming.of(FileKind.PHOTO).clear()
                ShellPages.seeOther("/")
            }
            "/shell/discard-bundle" -> {
                discardBundle()
                ShellPages.seeOther(SYNC)
            }
            "/shell/share-sheet" -> {
                actions.shareSheet(SheetRequest(face, value("kind"), value("bolts")))
                ShellPages.seeOther("/face/$face/sheet")
            }
            "/shell/print" -> {
                actions.print()
                ShellPages.seeOther("/face/$face/sheet")
            }
            "/shell/share-file" ->
                shareFile(value("address").orEmpty(), value("back").orEmpty())
            else -> null
        }
    }

    private fun syncCable(): Response {
        val folder = cable.folder()
            ?: return ShellPages.message(503, "Not synced", "The phone's storage is not available.")
        cable.start(folder)
        return ShellPages.seeOther(SYNC)
    }

    private fun discardBundle() {
        val queue = incoming.of(FileKind.BUNDLE)
        queue.items().firstOrNull()?.let(queue::remove)
    }

    /** Offers the file at an address of the screens to other apps: what a browser would save. */
    private fun shareFile(target: String, back: String): Response {
        val address = Address.parse(target)
        val file = screens.answer(Request(Method.GET, address.path, address.query))
        val content = when (val body = file.body) {
            is ResponseBody.File -> return shareBundle(File(body.value), back)
            is ResponseBody.Text -> body.value.toByteArray()
            is ResponseBody.Bytes -> body.value
            ResponseBody.Empty -> null
        }
        val name = FILE_NAME.find(file.header("content-disposition").orEmpty())
        if (file.status.toInt() != 200 || content == null || name == null) {
            return if (address.path.startsWith(SYNC)) bundleGone() else file
        }
        val type = file.header("content-type").orEmpty().substringBefore(';')
        actions.shareFile(name.groupValues[1], type, content)
        return ShellPages.seeOther(pageOf(back))
    }

    private fun shareBundle(bundle: File, back: String): Response {
        if (!bundle.isFile) return bundleGone()
        actions.shareBundle(bundle)
        return ShellPages.seeOther(pageOf(back))
    }

    private fun bundleGone() = ShellPages.message(410, "No bundle", BUNDLE_GONE)

    /** The page to return to: one of the notebook. */
    private fun pageOf(back: String) =
        back.takeIf { it.startsWith("/") && !it.startsWith("//") } ?: "/"

    companion object {
        /** The script of the shell. */
        const val SCRIPT = "/shell/shell.js"

        /** The files of the script, in the order in which they run. */
        private val SCRIPT_FILES =
            listOf("bridge.js", "page.js", "drafts.js", "forms.js", "shell.js")

        /** Where a page announces itself; see [PageBridge.greeting]. */
        const val HELLO = "/shell/hello"

        /** The page for a link without a pairing code. */
        const val NO_CODE = "/shell/no-code"

        /** The sync page. */
        const val SYNC = "/sync"

        /** The name of a file in its `content-disposition`. */
        private val FILE_NAME = Regex("filename=\"([^\"]+)\"")

        private const val BUNDLE_GONE = "The bundle is gone, because the phone freed space or " +
            "the app restarted; export it again."

        private const val NO_CODE_TEXT = "The link contains no pairing code. On the shop " +
            "computer open Sync, then Pair a device, and scan the code, or type its digits here " +
            "under Sync, Pair."

        /** A text that is packed with the classes, so that tests find it where the app does. */
        private fun resource(name: String): String {
            val stream = ShellRoutes::class.java.getResourceAsStream("/holebook/$name")
            return checkNotNull(stream) { "$name is not packed with the app" }
                .use { it.readBytes().decodeToString() }
        }
    }
}
