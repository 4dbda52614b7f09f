package org.holebook.app.carry

import java.io.File
import org.holebook.core.Method
import org.holebook.core.NotebookException
import org.holebook.core.Pair
import org.holebook.core.Request
import org.holebook.core.Response
import org.holebook.core.ResponseBody
import org.holebook.core.Upload

/** What answers the screens' requests: the notebook, through the library. Blocks. */
fun interface Screens {
    /** The answer to [request]. */
    fun answer(request: Request): Response
}

/**
 * Carries the screens to the WebView, as the shop computer's program carries them to a browser, but without a port: what
 * is looked at is intercepted on its way out, what changes something comes by [Line]. Nothing here knows Android, so
 * that tests on any machine run the same code. Every call blocks; any thread may call. After each form that the notebook has
 * taken, [recorded] is called.
 */
class Carrier(
    private val screens: Screens,
    private val own: Own,
    private val drafts: Drafts,
    private val recorded: () -> Unit = {},
) {
    private val kept = Kept()

    /** Answers a request to look at what lies [within] the notebook: path and query, percent-encoded. */
    fun look(within: String, method: String = "GET"): Response = orFault {
        if (method != "GET" && method != "HEAD") return@orFault sentAstray()
        val address = Address.read(within)
        val answer = kept.take(within)
            ?: own.look(address)
            ?: screens.answer(Request(Method.GET, address.path, address.query, emptyList(), emptyList()))
        val onward = answer.leadsTo ?: return@orFault answer
        drafts.move(address.path, Address.read(onward).path)
        Plain.leadingTo(onward)
    }.let { dressed(within, it) }

    /** Takes a form that was sent to [within], with its files on disk. What is acknowledged is on disk too. */
    fun change(within: String, form: List<Pair>, uploads: List<Upload>): Response = orFault {
        val address = Address.read(within)
        own.change(address, form) ?: record(Request(Method.POST, address.path, address.query, form, uploads))
    }.hardened()

    private fun record(request: Request): Response {
        val answer = screens.answer(request)
        if (answer.status < 400u) recorded()
        return answer
    }

    /** Lets a page go to [within] and find [answer] there. */
    fun keep(within: String, answer: Response) = kept.keep(within, answer)

    private fun dressed(within: String, answer: Response): Response {
        val whole = when (val body = answer.body) {
            is ResponseBody.File -> if (File(body.path).isFile) answer else missing(answer)
            is ResponseBody.Text, ResponseBody.Empty -> answer
        }
        return Dress.put(whole, { orNothing { own.strip(Address.read(within)) } }, { orNothing { own.foot(Address.read(within)) } }).hardened()
    }

    /** Where the notebook is in trouble the page itself says so, and the shell's lines must not stand in its way. */
    private inline fun orNothing(lines: () -> String): String = try {
        lines()
    } catch (_: Exception) {
        ""
    }

    private inline fun orFault(answer: () -> Response): Response = try {
        answer()
    } catch (error: BadAddress) {
        Plain.saying(400, "No such page", error.reason)
    } catch (error: NotebookException) {
        Plain.saying(500, "The notebook could not answer", error.sentence)
    } catch (_: Exception) {
        Plain.saying(500, "A fault in the program", FAULT)
    }

    private fun missing(file: Response) = if (file.header("content-type").orEmpty().startsWith("image/")) {
        Plain.saying(
            404,
            "The picture is missing",
            "The picture is not in the notebook's folder or cannot be read; exchange with a notebook that has it.",
        )
    } else {
        Plain.saying(404, "The file is gone", "The phone made room and took the file away; go back and write it again.")
    }

    private fun sentAstray() = Plain.saying(
        405,
        "Nothing was changed",
        "The form came without what was written in it; go back, see that it still stands there, and send it again.",
    )

    private companion object {
        const val FAULT = "The program met a fault of its own and this page could not be made; " +
            "what was recorded before is safe. Go back and try again."
    }
}
