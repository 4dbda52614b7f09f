package org.holebook.app.carry

import org.json.JSONException
import org.json.JSONObject

/**
 * What was typed and not yet recorded, by the page it was typed on. The page tells the shell after each change, because
 * Android may end the app at any moment after a person looked away, and asks no page first. A page's draft is a
 * JSON object of the page's own, one member for each form; the shell does not read further.
 */
class Drafts {
    private val drafts = LinkedHashMap<String, String>()

    /** Keeps a page's draft; an empty one is forgotten. What is too large to be kept by Android is not kept. */
    @Synchronized
    fun keep(page: String, draft: String?) {
        drafts.remove(page)
        if (draft.isNullOrEmpty() || draft.length > LARGEST) return
        drafts[page] = draft
        while (drafts.size > MOST || drafts.values.sumOf { it.length } > LARGEST) drafts.remove(drafts.keys.first())
    }

    /** The draft of the page at [page]. */
    @Synchronized
    fun of(page: String): String? = drafts[page]

    /** Adds the draft of the page at [from] to that of the page at [to], where it leads now: both have the same forms. */
    @Synchronized
    fun move(from: String, to: String) {
        val moved = JSONObject(drafts.remove(from) ?: return)
        val draft = JSONObject(drafts[to] ?: "{}")
        for (form in moved.keys()) draft.put(form, moved.get(form))
        keep(to, draft.toString())
    }

    /** All drafts as text, for the instance state. */
    @Synchronized
    fun saved(): String = JSONObject().also { saved -> drafts.forEach { (page, draft) -> saved.put(page, draft) } }.toString()

    /** Takes up what [saved] gave. Text that is none is passed over: a lost draft must not keep the notebook shut. */
    @Synchronized
    fun restore(saved: String?) {
        val pages = try {
            JSONObject(saved ?: return)
        } catch (_: JSONException) {
            return
        }
        for (page in pages.keys()) keep(page, pages.optString(page))
    }

    private companion object {
        /** Pages; a person steps to and fro between a few holes. */
        const val MOST = 16

        /** Characters. Android gives all apps of a moment about a megabyte for what they save (1 MB of Binder buffer). */
        const val LARGEST = 64 * 1024
    }
}
