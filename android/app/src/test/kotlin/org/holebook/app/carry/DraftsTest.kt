package org.holebook.app.carry

import org.json.JSONObject
import org.junit.jupiter.api.AfterEach
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

class DraftsTest {
    private val phone = Fixture()

    @AfterEach
    fun shut() = phone.close()

    private val typed = """{"/hole/1/reading#0":[["value",0,"32"]]}"""

    /** The same JSON as the framework writes it. */
    private fun same(json: String) = JSONObject(json).toString()

    private fun told(page: String) = JSONObject(phone.line.greeting(Address.read("/shell/hello?page=$page&word=w"))).optJSONObject("draft")?.toString()

    private fun type(page: String, draft: String?) {
        val said = JSONObject().put("kind", "draft").put("page", page).put("draft", draft?.let(::JSONObject) ?: JSONObject.NULL)
        assertNull(phone.line.hear(said.toString()))
    }

    @Test
    fun `what was typed outlives the app and is told to its page alone`() {
        type("/hole/1", typed)
        val after = Drafts().apply { restore(phone.drafts.saved()) }
        assertEquals(same(typed), same(after.of("/hole/1")!!))
        assertEquals(same(typed), told("/hole/1"))
        assertNull(told("/hole/2"))
        type("/hole/1", null)
        assertNull(told("/hole/1"))
    }

    @Test
    fun `a refused form's address that leads on takes its draft along, beside the other forms'`() {
        type("/casting", """{"/casting#0":[["name",0,"x"]]}""")
        type("/", """{"/other#0":[["name",0,"y"]]}""")
        phone.carrier.look("/casting")
        assertNull(told("/casting"))
        val draft = JSONObject(told("/")!!)
        assertEquals(setOf("/casting#0", "/other#0"), draft.keys().asSequence().toSet())
    }

    @Test
    fun `drafts stay within what Android keeps, the latest longest`() {
        val long = """{"f#0":[["note",0,"${"x".repeat(10_000)}"]]}"""
        for (page in 1..40) type("/hole/$page", long)
        assertTrue(phone.drafts.saved().length < 100_000)
        assertEquals(same(long), told("/hole/40"))
        assertNull(told("/hole/1"))
        type("/hole/41", """{"f#0":[["note",0,"${"x".repeat(70_000)}"]]}""")
        assertNull(told("/hole/41"))
    }

    @Test
    fun `saved text that is none keeps nothing shut`() {
        for (noise in listOf(null, "", "[", "{\"/\":", "[1]")) Drafts().restore(noise)
    }
}
