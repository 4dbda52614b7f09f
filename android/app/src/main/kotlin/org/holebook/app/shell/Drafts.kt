package org.holebook.app.shell

import org.json.JSONException
import org.json.JSONObject

/**
 * What was typed and not recorded yet, by page. The page sends it after each change, because
 * Android may end the app at any moment without asking the page first. A draft is a JSON object
 * with one member per form; the shell does not look further into it.
 */
class Drafts {
    private val drafts = LinkedHashMap<String, String>()

    /** Keeps the draft of a page, or removes it if it is empty or too large. */
    @Synchronized
    fun keep(page: String, draft: String?) {
        drafts.remove(page)
        if (draft.isNullOrEmpty() || draft.length > MAX_CHARS) return
        drafts[page] = draft
        while (drafts.size > MAX_PAGES || totalChars() > MAX_CHARS) drafts.remove(oldestPage())
    }

    private fun totalChars() = drafts.values.sumOf { it.length }

    private fun oldestPage() = drafts.keys.first()

    /** The draft of a page. */
    @Synchronized
    fun of(page: String): String? = drafts[page]

    /** Adds the draft of [from] to that of [to], where it redirects: they have the same forms. */
    @Synchronized
    fun move(from: String, to: String) {
        val moved = JSONObject(drafts.remove(from) ?: return)
        val draft = JSONObject(drafts[to] ?: "{}")
        for (form in moved.keys()) draft.put(form, moved.get(form))
        keep(to, draft.toString())
    }

    /** All drafts as text, for the instance state. */
    @Synchronized
    fun saved(): String {
        val saved = JSONObject()
        drafts.forEach { (page, draft) -> saved.put(page, draft) }
        return saved.toString()
    }

    /** Restores what [saved] returned. Ignores invalid text: a lost draft is the lesser harm. */
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
        /** A person steps back and forth between a few holes. */
        const val MAX_PAGES = 16

        /** Android's limit for the saved state of all running apps is about 1 MB (Binder). */
        const val MAX_CHARS = 64 * 1024
    }
}
