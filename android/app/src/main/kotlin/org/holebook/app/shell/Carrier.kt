package org.holebook.app.shell

import java.io.File
import org.holebook.core.Method
import org.holebook.core.NotebookException
import org.holebook.core.Pair
import org.holebook.core.Request
import org.holebook.core.Response
import org.holebook.core.ResponseBody
import org.holebook.core.ShellState
import org.holebook.core.Upload

/** Answers requests for the screens: the notebook, through the Rust library. Blocks. */
fun interface Screens {
    /** The response to [request]. */
    fun answer(request: Request): Response
}

/**
 * Serves the screens to the WebView without a port: page requests are intercepted, forms come
 * through [PageBridge]. Nothing here uses Android, so that tests run the same code on any machine.
 * Every call blocks; any thread may call. [onRecorded] is called after each accepted form.
 */
class Carrier(
    private val screens: Screens,
    private val routes: ShellRoutes,
    private val drafts: Drafts,
    private val shellState: () -> ShellState,
    private val onRecorded: () -> Unit = {},
) {
    private val pending = PendingResponses()

    /** Answers a request for [target]: path and query, percent-encoded. */
    fun get(target: String, method: String = "GET"): Response = orErrorPage {
        if (method != "GET" && method != "HEAD") return@orErrorPage formWithoutContent()
        val address = Address.parse(target)
        val response = pending.take(target)
            ?: routes.get(address)
            ?: ask(Method.GET, address)
        val redirect = response.redirectTarget ?: return@orErrorPage orMissing(response)
        drafts.move(address.path, Address.parse(redirect).path)
        ShellPages.redirecting(redirect)
    }.withSecurityHeaders()

    /** Processes a form that was sent to [target]. What it acknowledges is on disk. */
    fun post(target: String, form: List<Pair>, uploads: List<Upload>): Response = orErrorPage {
        val address = Address.parse(target)
        routes.post(address, form) ?: record(address, form, uploads)
    }.withSecurityHeaders()

    private fun record(address: Address, form: List<Pair>, uploads: List<Upload>): Response {
        val response = ask(Method.POST, address, form, uploads)
        if (response.status < 400u) onRecorded()
        return response
    }

    private fun ask(
        method: Method,
        address: Address,
        form: List<Pair> = emptyList(),
        uploads: List<Upload> = emptyList(),
    ): Response =
        screens.answer(Request(method, address.path, address.query, form, uploads, shellState()))

    /** Keeps [response] until the page asks for [target]. */
    fun keep(target: String, response: Response) = pending.put(target, response)

    private inline fun orErrorPage(answer: () -> Response): Response = try {
        answer()
    } catch (error: InvalidAddress) {
        ShellPages.message(400, "Page not found", error.reason)
    } catch (error: NotebookException) {
        ShellPages.message(500, "Notebook error", error.sentence)
    } catch (_: Exception) {
        ShellPages.message(500, "Program error", INTERNAL_ERROR)
    }

    private fun orMissing(response: Response): Response {
        val body = response.body as? ResponseBody.File ?: return response
        return if (File(body.value).isFile) response else missing(response)
    }

    private fun missing(file: Response) =
        if (file.header("content-type").orEmpty().startsWith("image/")) {
            ShellPages.message(
                404,
                "Photo missing",
                "The photo is not in the notebook's folder or cannot be read; " +
                    "sync with a device that has it.",
            )
        } else {
            ShellPages.message(
                404,
                "File missing",
                "The phone deleted the file to free space; go back and export it again.",
            )
        }

    private fun formWithoutContent() = ShellPages.message(
        405,
        "Nothing was changed",
        "The form arrived without its content; go back, check that it is still filled in, " +
            "and send it again.",
    )

    private companion object {
        const val INTERNAL_ERROR = "The program failed and could not make this page; " +
            "what was recorded before is safe. Go back and try again."
    }
}
