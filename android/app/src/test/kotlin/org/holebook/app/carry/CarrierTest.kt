package org.holebook.app.carry

import java.io.File
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

    private fun send(to: String, vararg form: kotlin.Pair<String, String>, files: List<kotlin.Pair<String, String>> = emptyList(), more: JSONObject.() -> Unit = {}) =
        Said(phone).send(to, *form, files = files, more = more)

    private fun newFace(): String {
        val casting = send("/casting", "name" to "Sample, invented").getString("go").substringBefore('?')
        return send("$casting/face", "name" to "Cover joint").getString("go").substringBefore('?')
    }

    private fun choose(name: String = "joint-face.jpg") = phone.chosen.put(Kind.PHOTO, name, Fixture.photo.inputStream()).name

    @Test
    fun `every page carries a policy, the shell's script and no door for others`() {
        val face = newFace()
        for (within in listOf("/", "/settings", face, "$face/sheet", "/no/such", "/a%", "/exchange", "/pair", "/shell/cable", "/shell/no-code")) {
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
        assertTrue(phone.chosen.items().isEmpty())
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
        phone.photos.put(Kind.PHOTO, "a.jpg", Fixture.photo.inputStream())
        assertTrue(phone.carrier.look("/").words.contains("One photo that was shared waits to be brought in."))
        assertTrue(phone.carrier.look(face).words.contains("data-waiting=\"photo\""))
        val go = send("$face/photo") { put("waiting", "photo") }.getString("go")
        assertTrue(go.startsWith("/photo/"), go)
        assertTrue(phone.photos.items().isEmpty())
        assertFalse(phone.carrier.look("/").words.contains("shared"))
    }

    @Test
    fun `of shared photos the first that is refused and those after it go on waiting`() {
        val face = newFace()
        phone.photos.put(Kind.PHOTO, "a.jpg", Fixture.photo.inputStream())
        phone.photos.put(Kind.PHOTO, "b.jpg", "no picture".byteInputStream())
        phone.photos.put(Kind.PHOTO, "c.jpg", Fixture.photo.inputStream())
        val go = send("$face/photo") { put("waiting", "photo") }.getString("go")
        assertEquals(422, phone.carrier.look(go).status.toInt())
        assertEquals(listOf("b.jpg", "c.jpg"), phone.photos.items().map { it.name })
        send("/shell/leave-out")
        assertTrue(phone.photos.items().isEmpty())
    }

    /** Waits until the page of the exchange says that nothing is under way, and gives it. */
    private fun exchanged(): String = generateSequence { phone.carrier.look("/exchange").words }
        .onEach { Thread.sleep(50) }
        .first { "Under way" !in it }

    @Test
    fun `what the phone alone has is said on every page until it was left in the cable's folder`() {
        val face = newFace()
        for (within in listOf("/", face, "/settings", "/pair", "/exchange", "/bench")) {
            assertTrue(phone.carrier.look(within).words.contains("2<span class=\"hidden\"> not home</span>"), within)
        }
        assertTrue(phone.carrier.look("/exchange").words.contains("href=\"/shell/cable\""))
        assertTrue(phone.carrier.look("/shell/cable").words.contains("outside/shelf"))
        assertEquals("/exchange", send("/shell/cable").getString("go"))
        val answer = exchanged()
        assertTrue(answer.contains("left 2 entries"), answer)
        assertFalse(phone.carrier.look("/").words.contains("not home"))
        assertTrue(phone.folder.resolve("outside/shelf/journal").isDirectory)
    }

    @Test
    fun `a bundle is written, goes out by the phone's other apps, and is taken in by another phone`() {
        newFace()
        assertTrue(send("/exchange/write", "what" to "new").getString("go").startsWith("/exchange"))
        val page = exchanged()
        assertTrue(page.contains("href=\"/exchange/file\""), page)
        assertEquals("/exchange", send("/shell/hand-on").getString("go"))
        val bundle = File(phone.asked.single().removePrefix("bundle "))
        assertEquals(bundle, phone.handedOut.find(phone.handedOut.pathOf(bundle)!!))
        Fixture().use { other ->
            other.bundles.put(Kind.BUNDLE, "from the barn.zip", bundle.inputStream())
            assertTrue(other.carrier.look("/").words.contains("from the barn.zip"))
            assertTrue(other.carrier.look("/exchange").words.contains("data-waiting=\"bundle\""))
            val go = Said(other).send("/exchange/take") { put("waiting", "bundle") }.getString("go")
            assertTrue(go.startsWith("/exchange"), go)
            assertTrue(other.bundles.items().isEmpty())
            val taken = generateSequence { other.carrier.look("/exchange").words }.onEach { Thread.sleep(50) }.first { "Under way" !in it }
            assertTrue(taken.contains("Took 2 entries"), taken)
            assertTrue(other.carrier.look("/").words.contains("Sample, invented"))
        }
    }

    @Test
    fun `a bundle that is none says so in one sentence, and one that is left out is gone`() {
        phone.bundles.put(Kind.BUNDLE, "letter.zip", "Dear diary".byteInputStream())
        phone.bundles.put(Kind.BUNDLE, "second.zip", "Dear diary".byteInputStream())
        assertTrue(phone.carrier.look("/exchange").words.contains("1 more waits after it"))
        send("/exchange/take") { put("waiting", "bundle") }
        val page = exchanged()
        assertTrue(page.contains("role=\"alert\"") && page.contains("letter.zip"), page)
        assertEquals(listOf("second.zip"), phone.bundles.items().map { it.name })
        send("/shell/leave-bundle")
        assertTrue(phone.bundles.items().isEmpty())
        assertFalse(phone.carrier.look("/").words.contains("second.zip"))
    }

    @Test
    fun `a bundle that the phone took away is not handed on`() {
        newFace()
        assertEquals(410, phone.carrier.look(send("/shell/hand-on").getString("go")).status.toInt())
        send("/exchange/write", "what" to "all")
        exchanged()
        File(phone.folder, "cache").deleteRecursively()
        assertEquals(410, phone.carrier.look(send("/shell/hand-on").getString("go")).status.toInt())
        val gone = phone.carrier.look("/exchange/file")
        assertEquals(404, gone.status.toInt())
        assertTrue(gone.words.contains("write it again"), gone.words)
        assertTrue(phone.asked.isEmpty())
        send("/exchange/write", "what" to "all")
        assertTrue(exchanged().contains("href=\"/exchange/file\""), "and can be written again")
    }

    @Test
    fun `a pairing link fills the page's field and does nothing else`() {
        val link = "holebook://pair?v=1&a=192.168.1.5:29376&k=\"><script>x</script>&s=y"
        val page = phone.carrier.look(PairLink.page(link)).words
        assertTrue(page.contains("Look twice"), page)
        assertTrue(page.contains("a=192.168.1.5:29376"), page)
        assertFalse(page.contains("<script>x"), page)
        assertFalse(phone.carrier.look("/pair").words.contains("Look twice"))
        assertTrue(phone.notebook.shops().isEmpty())
        val wrong = listOf(
            "holebook://other?v=1", "holebook:pair", "holebook://pair", "https://example.org/?holebook://pair?v=1",
            "holebook://pair?v=1&x=" + "y".repeat(3000), "holebook://pair.example.org/?v=1", "",
        )
        for (other in wrong) assertEquals(ShellPages.NO_CODE, PairLink.page(other), other)
    }

    @Test
    fun `each form that is taken says that something was recorded, none that is refused does`() {
        val face = newFace()
        assertEquals(2, phone.recorded)
        send("$face/cut", "planned" to "abc")
        send("/shell/print")
        assertEquals(2, phone.recorded)
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

/** What a page says on its line. */
private class Said(private val phone: Fixture) {
    fun send(to: String, vararg form: kotlin.Pair<String, String>, files: List<kotlin.Pair<String, String>> = emptyList(), more: JSONObject.() -> Unit = {}): JSONObject {
        val pairs = { all: List<kotlin.Pair<String, String>> -> JSONArray(all.map { (name, value) -> JSONArray(listOf(name, value)) }) }
        val said = JSONObject().put("kind", "change").put("id", 1).put("to", to).put("form", pairs(form.toList())).put("files", pairs(files))
        return JSONObject(phone.line.hear(said.apply(more).toString())!!)
    }
}
