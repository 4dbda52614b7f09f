package org.holebook.app.shell

import org.json.JSONObject
import org.junit.jupiter.api.AfterEach
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** What was typed and not recorded yet survives the app's end. */
class DraftsTest {
    private val phone = PhoneFixture()
    private val drafts = phone.shell.drafts

    @AfterEach
    fun close() = phone.close()

    private val typed = """{"/hole/1/reading#0":[["value",0,"32"]]}"""

    private fun note(length: Int) = """{"f#0":[["note",0,"${"x".repeat(length)}"]]}"""

    /** The same JSON as the framework writes it. */
    private fun normalized(json: String) = JSONObject(json).toString()

    /** The draft that a page gets in its greeting. */
    private fun greeted(page: String): String? {
        val hello = Address.parse("/shell/hello?page=$page&token=t")
        return JSONObject(phone.shell.bridge.greeting(hello)).optJSONObject("draft")?.toString()
    }

    private fun type(page: String, draft: String?) {
        val message = JSONObject()
            .put("kind", "draft")
            .put("page", page)
            .put("draft", draft?.let(::JSONObject) ?: JSONObject.NULL)
        assertNull(phone.shell.bridge.handle(message.toString()))
    }

    @Test
    fun `a draft survives the app and is sent to its own page only`() {
        type("/hole/1", typed)
        val restored = Drafts().apply { restore(drafts.saved()) }
        assertEquals(normalized(typed), normalized(restored.of("/hole/1")!!))
        assertEquals(normalized(typed), greeted("/hole/1"))
        assertNull(greeted("/hole/2"))
        type("/hole/1", null)
        assertNull(greeted("/hole/1"))
    }

    @Test
    fun `when a form's address redirects, its draft moves to that page, beside other forms`() {
        type("/casting", """{"/casting#0":[["name",0,"x"]]}""")
        type("/", """{"/other#0":[["name",0,"y"]]}""")
        phone.carrier.get("/casting")
        assertNull(greeted("/casting"))
        val draft = JSONObject(greeted("/")!!)
        assertEquals(setOf("/casting#0", "/other#0"), draft.keys().asSequence().toSet())
    }

    @Test
    fun `drafts stay within what Android saves, and the latest are kept`() {
        for (page in 1..40) type("/hole/$page", note(10_000))
        assertTrue(drafts.saved().length < 100_000)
        assertEquals(normalized(note(10_000)), greeted("/hole/40"))
        assertNull(greeted("/hole/1"))
        type("/hole/41", note(70_000))
        assertNull(greeted("/hole/41"))
    }

    @Test
    fun `invalid saved text is ignored`() {
        for (invalid in listOf(null, "", "[", "{\"/\":", "[1]")) Drafts().restore(invalid)
    }
}
