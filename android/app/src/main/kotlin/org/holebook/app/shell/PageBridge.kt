package org.holebook.app.shell

import org.holebook.core.Pair
import org.holebook.core.Response
import org.holebook.core.Upload
import org.json.JSONArray
import org.json.JSONException
import org.json.JSONObject

/**
 * Messages between a page and the shell, as JSON text. Only a page at the notebook's own origin
 * gets a port for them, so that nobody else can change anything. Every call blocks; any thread may
 * call.
 */
class PageBridge(
    private val carrier: Carrier,
    private val chosen: FileQueue,
    private val incoming: IncomingFiles,
    private val drafts: Drafts,
) {
    /**
     * The first message to a page: what was typed on it before. [hello] is the address with which
     * the page announced itself: its path as `page`, and a `token` by which it recognizes the
     * greeting.
     */
    fun greeting(hello: Address): String {
        val draft = hello.parameter("page")?.let(drafts::of)?.let(::JSONObject)
        return JSONObject()
            .put("kind", "hello")
            .put("token", hello.parameter("token"))
            .put("draft", draft ?: JSONObject.NULL)
            .toString()
    }

    /** The message that sends a hole's page to the next hole, or to the previous one. */
    fun step(forward: Boolean): String =
        JSONObject().put("kind", "step").put("to", if (forward) "next" else "prev").toString()

    /** Handles a message; returns the reply, or `null` if there is none. Ignores invalid ones. */
    fun handle(text: String): String? = try {
        val message = JSONObject(text)
        when (message.optString("kind")) {
            "submit" -> submit(message)
            "draft" -> {
                val draft = message.optJSONObject("draft")?.toString()
                drafts.keep(message.getString("page"), draft)
                null
            }
            else -> null
        }
    } catch (_: JSONException) {
        null
    }

    private fun submit(message: JSONObject): String {
        val target = message.getString("target")
        val response = process(target, message)
        val reply = JSONObject().put("id", message.getInt("id"))
        if (message.optBoolean("fragment")) {
            return reply.put("status", response.status.toInt())
                .put("location", response.redirectTarget ?: JSONObject.NULL)
                .put("type", response.header("content-type").orEmpty())
                .put("body", response.text)
                .toString()
        }
        val next = response.redirectTarget ?: target.also { carrier.keep(it, response) }
        return reply.put("location", next).toString()
    }

    private fun process(target: String, message: JSONObject): Response {
        val form = pairs(message.getJSONArray("form"))
        val files = pairs(message.optJSONArray("files") ?: JSONArray())
        val waiting = message.optString("waiting")
        if (waiting.isNotEmpty()) return addWaiting(target, form, waiting)
        val items = files.map { (field, name) ->
            field to (chosen.find(name) ?: return fileGone("'$name'"))
        }
        val uploads = items.map { (field, item) -> upload(field, item) }
        val response = carrier.post(target, form, uploads)
        // Accepted or rejected: a page that is shown again does not remember its files.
        items.forEach { (_, item) -> chosen.remove(item) }
        return response
    }

    /**
     * Adds the shared photos one after the other; the first rejected one and those after it keep
     * waiting. Of bundles only the first: its import runs in the background.
     */
    private fun addWaiting(target: String, form: List<Pair>, field: String): Response {
        val kind = FileKind.ofField(field) ?: return fileGone("The shared file")
        val queue = incoming.of(kind)
        val items = if (kind == FileKind.BUNDLE) queue.items().take(1) else queue.items()
        var response: Response? = null
        for (item in items) {
            response = carrier.post(target, form, listOf(upload(field, item)))
            if (response.redirectTarget == null) return response
            queue.remove(item)
        }
        return response ?: fileGone("The shared ${kind.label}")
    }

    private fun upload(field: String, item: FileQueue.Item) =
        Upload(field, item.name, item.file.absolutePath)

    private fun fileGone(what: String): Response = ShellPages.message(
        410,
        "Nothing was changed",
        "$what is gone, because the phone freed space or the app restarted; " +
            "go back and choose it again.",
    )

    private fun pairs(array: JSONArray): List<Pair> = (0 until array.length()).map { at ->
        val pair = array.getJSONArray(at)
        Pair(pair.getString(0), pair.getString(1))
    }
}
