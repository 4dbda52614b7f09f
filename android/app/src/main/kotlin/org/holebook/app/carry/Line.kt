package org.holebook.app.carry

import org.holebook.core.Pair
import org.holebook.core.Response
import org.holebook.core.Upload
import org.json.JSONArray
import org.json.JSONException
import org.json.JSONObject

/**
 * What a page and the shell say to each other, as JSON text. A page gets its end of the line only at the notebook's own
 * address, so that nobody else can change anything by it. Every call blocks; any thread may call.
 */
class Line(
    private val carrier: Carrier,
    private val chosen: Basket,
    private val incoming: Incoming,
    private val drafts: Drafts,
) {
    /**
     * What a page is told when it has opened: what was typed on it before. [hello] is the address at which it said that
     * it has opened, with its path as `page` and a word by which it knows that the greeting is meant for it.
     */
    fun greeting(hello: Address): String = JSONObject()
        .put("kind", "hello")
        .put("word", hello.asked("word"))
        .put("draft", hello.asked("page")?.let(drafts::of)?.let(::JSONObject) ?: JSONObject.NULL)
        .toString()

    /** Asks the page to go to the hole after ([forward]) or before the one it shows. */
    fun step(forward: Boolean): String =
        JSONObject().put("kind", "step").put("to", if (forward) "next" else "prev").toString()

    /** Hears what a page says; gives the answer, or `null` where none is awaited. What cannot be read is passed over. */
    fun hear(message: String): String? = try {
        val said = JSONObject(message)
        when (said.optString("kind")) {
            "change" -> change(said)
            "draft" -> {
                drafts.keep(said.getString("page"), said.optJSONObject("draft")?.toString())
                null
            }
            else -> null
        }
    } catch (_: JSONException) {
        null
    }

    private fun change(said: JSONObject): String {
        val within = said.getString("to")
        val answer = take(within, said)
        val reply = JSONObject().put("id", said.getInt("id"))
        if (said.optBoolean("part")) {
            return reply.put("status", answer.status.toInt())
                .put("location", answer.leadsTo ?: JSONObject.NULL)
                .put("type", answer.header("content-type").orEmpty())
                .put("body", answer.words).toString()
        }
        val onward = answer.leadsTo ?: within.also { carrier.keep(it, answer) }
        return reply.put("go", onward).toString()
    }

    private fun take(within: String, said: JSONObject): Response {
        val form = pairs(said.getJSONArray("form"))
        val files = pairs(said.optJSONArray("files") ?: JSONArray())
        val field = said.optString("waiting")
        if (field.isNotEmpty()) return takeWaiting(within, form, field)
        val items = files.map { (field, name) -> field to (chosen.find(name) ?: return notAtHand(name)) }
        val answer = carrier.change(within, form, items.map { (field, item) -> upload(field, item) })
        // Taken or refused: a page that is shown again has forgotten the files, and they are chosen anew.
        items.forEach { (_, item) -> chosen.remove(item) }
        return answer
    }

    /**
     * Brings in what was shared, one photo after the other; at the first that is refused the rest go on waiting. Of bundles
     * only the first: taking one in goes on in the background, and the next has its turn after it.
     */
    private fun takeWaiting(within: String, form: List<Pair>, field: String): Response {
        val kind = incoming.field(field) ?: return notAtHand("the file that was shared")
        val waiting = incoming.of(kind)
        var answer: Response? = null
        for (item in if (kind == Kind.BUNDLE) waiting.items().take(1) else waiting.items()) {
            answer = carrier.change(within, form, listOf(upload(field, item)))
            if (answer.leadsTo == null) return answer
            waiting.remove(item)
        }
        return answer ?: notAtHand("the ${kind.word} that was shared")
    }

    private fun upload(field: String, item: Basket.Item) = Upload(field, item.name, item.file.absolutePath)

    private fun notAtHand(name: String): Response = Plain.saying(
        410,
        "Nothing was changed",
        "'$name' is no longer at hand, because the phone made room or the app was restarted; go back and choose it again.",
    )

    private fun pairs(array: JSONArray): List<Pair> = (0 until array.length()).map { at ->
        val pair = array.getJSONArray(at)
        Pair(pair.getString(0), pair.getString(1))
    }
}
