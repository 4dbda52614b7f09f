package org.holebook.app.shell

import java.io.File
import org.holebook.core.ResponseBody
import org.holebook.core.WaitingBundle
import org.junit.jupiter.api.AfterEach
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertNotNull
import org.junit.jupiter.api.Assertions.assertNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** The shell over the real library: pages, forms, shared files, and what the pages show of them. */
class CarrierTest {
    private val phone = PhoneFixture()

    @AfterEach
    fun close() = phone.close()

    private fun String.withoutNotice() = substringBefore('?')

    private fun newFace(): String {
        val casting = phone.submit("/casting", "name" to "Sample, invented").withoutNotice()
        return phone.submit("$casting/face", "name" to "Cover joint").withoutNotice()
    }

    private fun choose(name: String = "joint-face.jpg"): String =
        phone.shell.chosen.put(FileKind.PHOTO, name, PhoneFixture.photo.inputStream()).name

    private fun sharePhoto(name: String) =
        phone.photos.put(FileKind.PHOTO, name, PhoneFixture.photo.inputStream())

    private fun addPhoto(face: String): String {
        val reply = phone.send("$face/photo", files = mapOf("photo" to choose()))
        return reply.getString("location").withoutNotice()
    }

    @Test
    fun `every page carries a policy, and those of the screens the shell's script`() {
        val face = newFace()
        val screens = listOf("/", "/settings", face, "$face/sheet", "/no/such", "/sync", "/pair")
        for (target in screens + "/a%" + "/shell/no-code") {
            val page = phone.carrier.get(target)
            val policy = page.header("content-security-policy")!!
            assertTrue(policy.contains("default-src 'none'"), target)
            assertFalse(policy.contains("unsafe"), target)
            assertEquals("nosniff", page.header("x-content-type-options"), target)
        }
        for (target in screens) {
            assertTrue("<script src=\"${ShellRoutes.SCRIPT}\">" in phone.page(target), target)
        }
        val style = phone.carrier.get("/style.css")
        assertTrue(style.header("content-security-policy")!!.contains("default-src 'none'"))
    }

    @Test
    fun `pages get the phone's state`() {
        assertEquals(ShellRoutes.SCRIPT, phone.shell.state().script)
        assertEquals(phone.cableFolder.path, phone.shell.state().cableFolder)
        sharePhoto("a.jpg")
        sharePhoto("b.jpg")
        phone.bundles.put(FileKind.BUNDLE, "barn.zip", ByteArray(1_500_000).inputStream())
        phone.bundles.put(FileKind.BUNDLE, "later.zip", ByteArray(3).inputStream())
        val state = phone.shell.state()
        assertEquals(2u, state.waitingPhotos)
        val bundles = listOf(WaitingBundle("barn.zip", 1_500_000u), WaitingBundle("later.zip", 3u))
        assertEquals(bundles, state.waitingBundles)
        val page = phone.page("/")
        assertTrue("2 shared photos are waiting" in page, page)
        assertTrue("barn.zip (1.5 MB)" in page, page)
        assertTrue(phone.cableFolder.path in phone.page("/sync"))
    }

    @Test
    fun `a recorded form redirects to its page`() {
        val face = newFace()
        assertTrue(face.startsWith("/face/"))
        assertTrue("Cover joint" in phone.page(face))
        assertTrue("Sample, invented" in phone.page("/"))
    }

    @Test
    fun `the page of a rejected form is shown once, then its address redirects`() {
        val face = newFace()
        assertEquals("$face/cut", phone.submit("$face/cut", "planned" to "abc"))
        val rejected = phone.carrier.get("$face/cut")
        assertEquals(422, rejected.status.toInt())
        assertTrue("Nothing was recorded." in rejected.text)
        assertTrue("<script src=\"${ShellRoutes.SCRIPT}\">" in rejected.text)
        val again = phone.carrier.get("$face/cut")
        assertEquals(200, again.status.toInt())
        assertTrue("url=$face\"" in again.text, again.text)
    }

    @Test
    fun `a form of a page's script gets status and text`() {
        val photo = addPhoto(newFace())
        fun mark(x: String) = phone.send(
            "$photo/mark",
            mapOf("hole" to "new", "x_px" to x, "y_px" to "500", "part" to "1"),
        ) { put("fragment", true) }
        val marked = mark("400")
        assertEquals(200, marked.getInt("status"))
        assertTrue("Hole 1 marked at" in marked.getString("body"))
        assertEquals(422, mark("-1").getInt("status"))
    }

    @Test
    fun `a photo is passed by path, served as a file, and removed from the queue`() {
        val photo = addPhoto(newFace())
        assertTrue(phone.shell.chosen.items().isEmpty())
        val view = phone.carrier.get("$photo/view.jpg")
        assertEquals("image/jpeg", view.header("content-type"))
        assertTrue((view.body as ResponseBody.File).value.startsWith(phone.folder.path))
        assertTrue(phone.carrier.get("$photo/original").body is ResponseBody.File)
    }

    @Test
    fun `a chosen file that is gone is named, and nothing changes`() {
        val face = newFace()
        val reply = phone.send("$face/photo", files = mapOf("photo" to "gone.jpg"))
        val page = phone.carrier.get(reply.getString("location"))
        assertEquals(410, page.status.toInt())
        assertTrue("&#39;gone.jpg&#39; is gone" in page.text, page.text)
        assertFalse("href=\"/photo/" in phone.page(face))
    }

    @Test
    fun `shared photos are added on a face`() {
        val face = newFace()
        sharePhoto("a.jpg")
        assertTrue("data-waiting=\"photo\"" in phone.page(face))
        val next = phone.submitWaiting("$face/photo", "photo")
        assertTrue(next.startsWith("/photo/"), next)
        assertTrue(phone.photos.items().isEmpty())
        assertFalse("shared photo" in phone.page("/"))
    }

    @Test
    fun `the first rejected photo and those after it keep waiting`() {
        val face = newFace()
        sharePhoto("a.jpg")
        phone.photos.put(FileKind.PHOTO, "b.jpg", "not a photo".byteInputStream())
        sharePhoto("c.jpg")
        val next = phone.submitWaiting("$face/photo", "photo")
        assertEquals(422, phone.carrier.get(next).status.toInt())
        assertEquals(listOf("b.jpg", "c.jpg"), phone.photos.items().map { it.name })
        phone.submit("/shell/discard-photos")
        assertTrue(phone.photos.items().isEmpty())
    }

    @Test
    fun `what is not synced is counted on every page until it is synced by cable`() {
        val face = newFace()
        for (target in listOf("/", face, "/settings", "/pair", "/sync", "/bench")) {
            val title = "title=\"2 entries are on this device only\""
            assertTrue(title in phone.page(target), target)
        }
        assertEquals("/sync", phone.submit("/shell/sync-cable"))
        val page = phone.syncPage()
        assertTrue("sent 2 entries" in page, page)
        assertFalse("not synced yet" in phone.page("/"))
        assertTrue(phone.cableFolder.resolve("journal").isDirectory)
    }

    @Test
    fun `a bundle is exported, shared, and imported on another phone`() {
        newFace()
        assertTrue(phone.submit("/sync/export", "what" to "new").startsWith("/sync"))
        val page = phone.syncPage()
        assertTrue("href=\"/sync/file\"" in page, page)
        assertEquals("/sync", share("/sync/file", "/sync"))
        val bundle = File(phone.actions.single().removePrefix("bundle "))
        val shared = phone.shell.sharedFiles
        assertEquals(bundle, shared.find(shared.pathOf(bundle)!!))
        PhoneFixture().use { other ->
            other.bundles.put(FileKind.BUNDLE, "from the barn.zip", bundle.inputStream())
            assertTrue("from the barn.zip" in other.page("/"))
            assertTrue("data-waiting=\"bundle\"" in other.page("/sync"))
            val next = other.submitWaiting("/sync/import", "bundle")
            assertTrue(next.startsWith("/sync"), next)
            assertTrue(other.bundles.items().isEmpty())
            val imported = other.syncPage()
            assertTrue("Imported 2 entries" in imported, imported)
            assertTrue("Sample, invented" in other.page("/"))
        }
    }

    @Test
    fun `a file that is not a bundle is reported, and a discarded bundle is gone`() {
        for (name in listOf("letter.zip", "second.zip")) {
            phone.bundles.put(FileKind.BUNDLE, name, "Dear diary".byteInputStream())
        }
        phone.submitWaiting("/sync/import", "bundle")
        val page = phone.syncPage()
        assertTrue("role=\"alert\"" in page && "letter.zip" in page, page)
        assertEquals(listOf("second.zip"), phone.bundles.items().map { it.name })
        phone.submit("/shell/discard-bundle")
        assertTrue(phone.bundles.items().isEmpty())
        assertFalse("second.zip" in phone.page("/"))
    }

    @Test
    fun `a bundle that the phone deleted is not shared, and can be exported again`() {
        newFace()
        fun shareStatus() = phone.carrier.get(share("/sync/file", "/sync")).status.toInt()
        assertEquals(410, shareStatus())
        phone.submit("/sync/export", "what" to "all")
        phone.syncPage()
        File(phone.folder, "cache").deleteRecursively()
        assertEquals(410, shareStatus())
        val gone = phone.carrier.get("/sync/file")
        assertEquals(404, gone.status.toInt())
        assertTrue("export it again" in gone.text, gone.text)
        assertTrue(phone.actions.isEmpty())
        phone.submit("/sync/export", "what" to "all")
        assertTrue("href=\"/sync/file\"" in phone.syncPage())
    }

    @Test
    fun `a pairing link fills in the field of its page and does nothing else`() {
        val link = "holebook://pair?v=1&a=192.168.1.5:29376&k=\"><script>x</script>&s=y"
        val page = phone.page(PairingLink.page(link))
        assertTrue("This code came from a link." in page, page)
        assertTrue("a=192.168.1.5:29376" in page, page)
        assertFalse("<script>x" in page, page)
        assertTrue(phone.notebook.shops().isEmpty())
        val wrong = listOf(
            "holebook://other?v=1",
            "holebook:pair",
            "holebook://pair",
            "https://example.org/?holebook://pair?v=1",
            "holebook://pair?v=1&x=" + "y".repeat(3000),
            "holebook://pair.example.org/?v=1",
            "",
        )
        for (other in wrong) assertEquals(ShellRoutes.NO_CODE, PairingLink.page(other), other)
    }

    @Test
    fun `each accepted form is reported as recorded, and no rejected one`() {
        val face = newFace()
        assertEquals(2, phone.recorded)
        phone.submit("$face/cut", "planned" to "abc")
        phone.submit("/shell/print")
        assertEquals(2, phone.recorded)
    }

    @Test
    fun `the job sheet is shared and printed by the phone`() {
        val face = newFace()
        assertTrue("Share this sheet" in phone.page("$face/sheet"))
        val id = face.removePrefix("/face/")
        assertEquals("$face/sheet", phone.submit("/shell/share-sheet", "face" to id))
        assertEquals("$face/sheet", phone.submit("/shell/print", "face" to id))
        val record = phone.submit("/shell/share-sheet", "face" to id, "kind" to "record")
        assertEquals("$face/sheet", record)
        assertEquals(listOf("share $id", "print", "share record $id"), phone.actions)
    }

    @Test
    fun `the bolt-up sheet is shared for bolts as the person says`() {
        val face = newFace()
        val id = face.removePrefix("/face/")
        val page = phone.page("$face/sheet")
        assertTrue("name=\"kind\" value=\"bolt-up\"" in page, page)
        assertTrue("<select name=\"bolts\"" in page, page)
        val form = arrayOf("face" to id, "kind" to "bolt-up", "bolts" to "dry")
        assertEquals("$face/sheet", phone.submit("/shell/share-sheet", *form))
        assertEquals(listOf("share bolt-up dry $id"), phone.actions)
    }

    @Test
    fun `what a browser would save is shared with other apps`() {
        val face = newFace()
        val casting = Regex("/casting/[0-9a-f-]{36}").find(phone.page(face))!!.value
        val files = listOf(
            "$casting/kit/csv" to Regex("""file kit-[a-z0-9-]+\.csv text/csv \d+"""),
            "/kit/text" to Regex("""file kit-[a-z0-9-]+\.txt text/plain \d+"""),
            "$casting/page.html" to Regex("""file casting-[a-z0-9-]+\.html text/html \d+"""),
            "$face/sheet/bolt-up.pdf?paper=a4&bolts=dry" to
                Regex("""file bolt-up\.pdf application/pdf \d+"""),
        )
        for ((address, shared) in files) {
            assertEquals(face, share(address, face))
            assertTrue(shared.matches(phone.actions.last()), phone.actions.last())
        }
        val count = phone.actions.size
        assertEquals(404, phone.carrier.get(share("$face/nothing", face)).status.toInt())
        assertEquals("/", share("/kit/text", "//elsewhere.invalid/"))
        assertEquals(count + 1, phone.actions.size)
        assertTrue("Share as CSV" in phone.page("$casting/kit"))
    }

    private fun share(address: String, back: String) =
        phone.submit("/shell/share-file", "address" to address, "back" to back)

    @Test
    fun `a form that arrives without its content changes nothing and says so`() {
        val page = phone.carrier.get("/casting", "POST")
        assertEquals(405, page.status.toInt())
        assertTrue("Nothing was changed" in page.text)
    }

    @Test
    fun `after shutdown a page says in one sentence what to do`() {
        phone.notebook.shutdown()
        val page = phone.carrier.get("/")
        assertEquals(500, page.status.toInt())
        assertTrue("open it again" in page.text, page.text)
    }

    @Test
    fun `invalid messages are ignored`() {
        val invalid = listOf(
            "",
            "no JSON",
            "[]",
            "{}",
            "{\"kind\":\"submit\"}",
            "{\"kind\":\"submit\",\"id\":1,\"target\":\"/casting\",\"form\":[[\"a\"]]}",
        )
        for (message in invalid) assertNull(phone.shell.bridge.handle(message), message)
        assertNotNull(phone.submit("/casting", "name" to "Still works"))
    }
}
