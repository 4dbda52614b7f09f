package org.holebook.app.carry

import org.holebook.core.ResponseBody
import org.json.JSONArray
import org.json.JSONObject
import org.junit.jupiter.api.AfterEach
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertNotNull
import org.junit.jupiter.api.Assertions.assertNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

class CarrierTest {
    private val phone = Fixture()

    @AfterEach
    fun shut() = phone.close()

    private fun send(to: String, vararg form: kotlin.Pair<String, String>, files: List<kotlin.Pair<String, String>> = emptyList(), more: JSONObject.() -> Unit = {}): JSONObject {
        val pairs = { all: List<kotlin.Pair<String, String>> -> JSONArray(all.map { (name, value) -> JSONArray(listOf(name, value)) }) }
        val said = JSONObject().put("kind", "change").put("id", 1).put("to", to).put("form", pairs(form.toList())).put("files", pairs(files))
        return JSONObject(phone.line.hear(said.apply(more).toString())!!)
    }

    private fun newFace(): String {
        val casting = send("/casting", "name" to "Sample, invented").getString("go").substringBefore('?')
        return send("$casting/face", "name" to "Cover joint").getString("go").substringBefore('?')
    }

    private fun choose(name: String = "joint-face.jpg") = phone.chosen.put(name, Fixture.photo.inputStream()).name

    @Test
    fun `every page carries a policy, the shell's script and no door for others`() {
        val face = newFace()
        for (within in listOf("/", "/settings", face, "$face/sheet", "/no/such", "/a%", "/shell/pair")) {
            val page = phone.carrier.look(within)
            assertTrue(page.header("content-security-policy")!!.contains("default-src 'none'"), within)
            assertFalse(page.header("content-security-policy")!!.contains("unsafe"), within)
            assertEquals("nosniff", page.header("x-content-type-options"), within)
            assertTrue(page.words.contains("<head><script src=\"/shell/shell.js\">"), within)
        }
        assertTrue(phone.carrier.look("/style.css").header("content-security-policy")!!.contains("default-src 'none'"))
    }

    @Test
    fun `what was recorded leads on, and stands there`() {
        val face = newFace()
        assertTrue(face.startsWith("/face/"))
        assertTrue(phone.carrier.look(face).words.contains("Cover joint"))
        assertTrue(phone.carrier.look("/").words.contains("Sample, invented"))
    }

    @Test
    fun `a refused form's page waits at its address once, then the address leads to the page it stands on`() {
        val face = newFace()
        assertEquals("$face/cut", send("$face/cut", "planned" to "abc").getString("go"))
        val refused = phone.carrier.look("$face/cut")
        assertEquals(422, refused.status.toInt())
        assertTrue(refused.words.contains("Nothing was recorded."))
        val again = phone.carrier.look("$face/cut")
        assertEquals(200, again.status.toInt())
        assertTrue(again.words.contains("url=$face\""), again.words)
    }

    @Test
    fun `a script's own form is answered with its status and text`() {
        val face = newFace()
        val name = choose()
        val photo = send("$face/photo", files = listOf("photo" to name)).getString("go").substringBefore('?')
        val marked = send("$photo/mark", "hole" to "new", "x_px" to "400", "y_px" to "500", "part" to "1") { put("part", true) }
        assertEquals(200, marked.getInt("status"))
        assertTrue(marked.getString("body").contains("Hole 1 marked at"))
        val outside = send("$photo/mark", "hole" to "new", "x_px" to "-1", "y_px" to "5", "part" to "1") { put("part", true) }
        assertEquals(422, outside.getInt("status"))
    }

    @Test
    fun `a photo goes by path, is served as a file, and leaves the basket`() {
        val face = newFace()
        val photo = send("$face/photo", files = listOf("photo" to choose())).getString("go").substringBefore('?')
        assertTrue(phone.chosen.photos().isEmpty())
        val view = phone.carrier.look("$photo/view.jpg")
        assertEquals("image/jpeg", view.header("content-type"))
        assertTrue((view.body as ResponseBody.File).path.startsWith(phone.folder.path))
        assertTrue(phone.carrier.look("$photo/original").body is ResponseBody.File)
    }

    @Test
    fun `a file that is no longer at hand is named, and nothing changes`() {
        val face = newFace()
        val go = send("$face/photo", files = listOf("photo" to "gone.jpg")).getString("go")
        val page = phone.carrier.look(go)
        assertEquals(410, page.status.toInt())
        assertTrue(page.words.contains("&#39;gone.jpg&#39; is no longer at hand"), page.words)
        assertFalse(phone.carrier.look(face).words.contains("href=\"/photo/"))
    }

    @Test
    fun `shared photos wait on every page and come in on their face`() {
        val face = newFace()
        phone.waiting.put("a.jpg", Fixture.photo.inputStream())
        assertTrue(phone.carrier.look("/").words.contains("One photo that was shared waits to be brought in."))
        assertTrue(phone.carrier.look(face).words.contains("data-waiting=\"photo\""))
        val go = send("$face/photo") { put("waiting", "photo") }.getString("go")
        assertTrue(go.startsWith("/photo/"), go)
        assertTrue(phone.waiting.photos().isEmpty())
        assertFalse(phone.carrier.look("/").words.contains("shared"))
    }

    @Test
    fun `of shared photos the first that is refused and those after it go on waiting`() {
        val face = newFace()
        phone.waiting.put("a.jpg", Fixture.photo.inputStream())
        phone.waiting.put("b.jpg", "no picture".byteInputStream())
        phone.waiting.put("c.jpg", Fixture.photo.inputStream())
        val go = send("$face/photo") { put("waiting", "photo") }.getString("go")
        assertEquals(422, phone.carrier.look(go).status.toInt())
        assertEquals(listOf("b.jpg", "c.jpg"), phone.waiting.photos().map { it.name })
        send("/shell/leave-out")
        assertTrue(phone.waiting.photos().isEmpty())
    }

    @Test
    fun `what the phone alone has is said on every page until it was left in the folder`() {
        val face = newFace()
        for (within in listOf("/", face, "/settings")) {
            assertTrue(phone.carrier.look(within).words.contains(">2<span class=\"hidden\"> not home</span>"), within)
        }
        val answer = phone.carrier.look(send("/shell/exchange").getString("go")).words
        assertTrue(answer.contains("Left 2 entries and 0 photos in the folder"), answer)
        assertFalse(phone.carrier.look("/").words.contains("not home"))
        assertTrue(phone.carrier.look("/shell/home").words.contains("All that was written on this phone lies on a shelf."))
        assertTrue(phone.folder.resolve("files/shelf/journal").isDirectory)
    }

    @Test
    fun `the sheet's way out asks the phone`() {
        val face = newFace()
        assertTrue(phone.carrier.look("$face/sheet").words.contains("Share this sheet"))
        val id = face.removePrefix("/face/")
        assertEquals("$face/sheet", send("/shell/share", "face" to id).getString("go"))
        assertEquals("$face/sheet", send("/shell/print", "face" to id).getString("go"))
        assertEquals(listOf("share $id", "print"), phone.asked)
    }

    @Test
    fun `a form that came without its content changes nothing and says so`() {
        val page = phone.carrier.look("/casting", "POST")
        assertEquals(405, page.status.toInt())
        assertTrue(page.words.contains("Nothing was changed"))
    }

    @Test
    fun `after shutdown a page says in one sentence what to do`() {
        phone.notebook.shutdown()
        val page = phone.carrier.look("/")
        assertEquals(500, page.status.toInt())
        assertTrue(page.words.contains("open it again"), page.words)
    }

    @Test
    fun `what cannot be read on the line is passed over`() {
        for (noise in listOf("", "no JSON", "[]", "{}", "{\"kind\":\"change\"}", "{\"kind\":\"change\",\"id\":1,\"to\":\"/casting\",\"form\":[[\"a\"]]}")) {
            assertNull(phone.line.hear(noise), noise)
        }
        assertNotNull(send("/casting", "name" to "Still works"))
    }
}
