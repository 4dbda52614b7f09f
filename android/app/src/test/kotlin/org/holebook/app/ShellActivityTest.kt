package org.holebook.app

import android.app.Activity
import android.content.ClipData
import android.content.ContentProvider
import android.content.ContentValues
import android.content.Context
import android.content.Intent
import android.database.Cursor
import android.net.ConnectivityManager
import android.net.Uri
import android.os.Bundle
import android.os.Looper
import android.os.ParcelFileDescriptor
import android.provider.MediaStore
import android.view.KeyEvent
import android.view.ViewGroup
import android.webkit.ValueCallback
import android.webkit.WebChromeClient
import android.webkit.WebResourceRequest
import android.webkit.WebView
import java.io.ByteArrayInputStream
import java.io.FileNotFoundException
import org.holebook.app.carry.Kind
import org.holebook.app.carry.words
import org.holebook.core.Pair
import org.junit.After
import org.junit.Assert.assertArrayEquals
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertThrows
import org.junit.Assert.assertTrue
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Robolectric
import org.robolectric.RobolectricTestRunner
import org.robolectric.Shadows.shadowOf
import org.robolectric.android.controller.ActivityController
import org.robolectric.annotation.Config
import org.robolectric.shadows.ShadowContentResolver
import org.robolectric.shadows.ShadowNetwork
import org.robolectric.shadows.ShadowToast

/** The activity itself, on the framework's own code, with Robolectric's stand-in for the WebView. */
@RunWith(RobolectricTestRunner::class)
@Config(sdk = [35], shadows = [FakeDiscovery::class])
class ShellActivityTest {
    @get:Rule
    val fresh = FreshBook()

    private lateinit var provider: HandedFiles
    private var shown: ActivityController<ShellActivity>? = null
    private val activity get() = shown!!.get()
    private val view get() = (activity.findViewById<ViewGroup>(android.R.id.content)!!.getChildAt(0) as ViewGroup).getChildAt(0) as WebView
    private val book get() = Book.of(activity)
    private val photos get() = book.incoming.of(Kind.PHOTO)
    private val bundles get() = book.incoming.of(Kind.BUNDLE)

    @After
    fun shut() {
        shown?.close()
    }

    private fun start(intent: Intent? = null): ShellActivity {
        provider = Robolectric.buildContentProvider(HandedFiles::class.java).create(HandedFiles.AUTHORITY).get()
        shown = Robolectric.buildActivity(ShellActivity::class.java, intent).setup()
        return activity
    }

    /** Lets the work at the desk, and what it puts before the thread that draws, come to its end. */
    private fun settle() {
        book.desk.submit {}.get()
        shadowOf(Looper.getMainLooper()).idle()
    }

    private fun ask(address: String, method: String = "GET") =
        shadowOf(view).webViewClient.shouldInterceptRequest(view, Asked(Uri.parse(address), method))

    @Test
    fun `it opens the castings in a view that is shut to everything else`() {
        start()
        assertEquals("https://notebook.invalid/", shadowOf(view).lastLoadedUrl)
        with(view.settings) {
            assertFalse(allowFileAccess || allowContentAccess || javaScriptCanOpenWindowsAutomatically)
            assertTrue(javaScriptEnabled)
        }
    }

    @Test
    fun `what lies in the notebook is answered, nothing else is`() {
        start()
        val page = ask("https://notebook.invalid/")!!
        assertEquals(200, page.statusCode)
        assertEquals("text/html", page.mimeType)
        assertTrue(page.responseHeaders.getValue("content-security-policy").contains("default-src 'none'"))
        assertTrue(page.data.readBytes().decodeToString().contains("Castings"))
        assertEquals("text/javascript", ask("https://notebook.invalid/shell/shell.js")!!.mimeType)
        assertEquals(404, ask("https://notebook.invalid/hole/nothing")!!.statusCode)
        assertEquals(405, ask("https://notebook.invalid/casting", "POST")!!.statusCode)
        for (other in listOf("https://example.org/", "http://notebook.invalid/", "file:///etc/hosts", "content://org.holebook.app.files/x")) {
            assertEquals(other, 403, ask(other)!!.statusCode)
        }
        assertNull(ask("data:,"))
    }

    @Test
    fun `a link out of the notebook opens outside`() {
        start()
        val client = shadowOf(view).webViewClient
        assertFalse(client.shouldOverrideUrlLoading(view, Asked(Uri.parse("https://notebook.invalid/settings"))))
        assertTrue(client.shouldOverrideUrlLoading(view, Asked(Uri.parse("https://example.org/manual"))))
        val opened = shadowOf(activity).nextStartedActivity
        assertEquals(Intent.ACTION_VIEW, opened.action)
        assertEquals("https://example.org/manual", opened.dataString)
        assertTrue(client.shouldOverrideUrlLoading(view, Asked(Uri.parse("intent://x#Intent;end"))))
        assertNull(shadowOf(activity).nextStartedActivity)
    }

    private val code = "holebook://pair?v=1&a=192.168.1.5:29376&k=key&s=secret"

    private fun link(address: String) = Intent(Intent.ACTION_VIEW, Uri.parse(address))

    /** What the page that shows has in the field for the code. */
    private fun filled() = ask(shadowOf(view).lastLoadedUrl)!!.data.readBytes().decodeToString()
        .substringAfter("<textarea").substringAfter('>').substringBefore("</textarea>").trim()

    @Test
    fun `a pairing link opens the page that asks, its field filled, and pairs nothing`() {
        start(link(code))
        assertTrue(shadowOf(view).lastLoadedUrl.startsWith("https://notebook.invalid/pair?code=holebook"))
        assertEquals(code.replace("&", "&amp;"), filled())
        shown!!.newIntent(link(code.replace("1.5", "1.6")))
        assertEquals(code.replace("1.5", "1.6").replace("&", "&amp;"), filled())
        settle()
        assertTrue(ask("https://notebook.invalid/exchange")!!.data.readBytes().decodeToString().contains("no shelf yet"))
    }

    @Test
    fun `turning the phone or ending the app opens the link no second time`() {
        start(link(code))
        view.loadUrl("https://notebook.invalid/settings")
        shown!!.recreate()
        assertFalse("/pair" in shadowOf(view).lastLoadedUrl.orEmpty())
        val state = Bundle()
        shown!!.saveInstanceState(state).pause().stop().destroy()
        shown = Robolectric.buildActivity(ShellActivity::class.java, link(code)).setup(state)
        assertFalse("/pair" in shadowOf(view).lastLoadedUrl.orEmpty())
        shown!!.close()
        // From the list of what ran last, in a process that is new, with what opened it long ago.
        start(link(code).addFlags(Intent.FLAG_ACTIVITY_LAUNCHED_FROM_HISTORY))
        assertEquals("https://notebook.invalid/", shadowOf(view).lastLoadedUrl)
    }

    @Test
    fun `a link that is no pairing code says so, and nothing of an intent but its address is read`() {
        start()
        for (wrong in listOf("holebook://pair", "holebook:pair?v=1", "holebook://other?v=1", "holebook://pair?v=1&x=" + "y".repeat(100_000), "HOLEBOOK:")) {
            shown!!.newIntent(link(wrong))
            assertEquals(wrong.take(40), "https://notebook.invalid/shell/no-code", shadowOf(view).lastLoadedUrl)
        }
        val before = shadowOf(view).lastLoadedUrl
        val extras = Intent("org.holebook.app.PAIR").putExtra("code", code).putExtra(Intent.EXTRA_TEXT, code)
        for (other in listOf(extras, link("https://example.org/?" + code), link("javascript:alert(1)"), link("file:///data/data/org.holebook.app/files/notebook/notebook.sqlite"))) {
            shown!!.newIntent(other)
            settle()
            assertEquals(before, shadowOf(view).lastLoadedUrl)
        }
        assertTrue(photos.items().isEmpty() && bundles.items().isEmpty())
    }

    private fun lend(address: String, type: String, bytes: ByteArray): Uri {
        val lent = Uri.parse(address)
        shadowOf(activity.contentResolver).registerInputStream(lent, ByteArrayInputStream(bytes))
        Lender.types[address] = type
        return lent
    }

    @Test
    fun `a bundle that is shared or opened is copied in and waits on the page that asks`() {
        start()
        ShadowContentResolver.registerProviderInternal("mail", Lender())
        shown!!.newIntent(Intent(Intent.ACTION_SEND).setType("application/zip").putExtra(Intent.EXTRA_STREAM, lend("content://mail/1", "application/zip", byteArrayOf(1, 2))))
        settle()
        assertEquals("https://notebook.invalid/exchange", shadowOf(view).lastLoadedUrl)
        shown!!.newIntent(Intent(Intent.ACTION_VIEW).setDataAndType(lend("content://mail/barn.zip", "application/octet-stream", byteArrayOf(3)), "application/zip"))
        settle()
        assertEquals(listOf(2L, 1L), bundles.items().map { it.file.length() })
        assertTrue(photos.items().isEmpty())
        val page = ask("https://notebook.invalid/exchange")!!.data.readBytes().decodeToString()
        assertTrue(page.contains("data-waiting=\"bundle\"") && page.contains("1 more waits"))
    }

    @Test
    fun `what is neither photo nor bundle, or breaks off, is not kept`() {
        start()
        ShadowContentResolver.registerProviderInternal("mail", Lender())
        shown!!.newIntent(Intent(Intent.ACTION_SEND).putExtra(Intent.EXTRA_STREAM, lend("content://mail/letter.pdf", "application/pdf", byteArrayOf(1))))
        settle()
        assertTrue(ShadowToast.getTextOfLatestToast().contains("neither a photo nor a bundle"))
        for (trouble in listOf("content://mail/refused.zip", "content://mail/gone.zip")) {
            shown!!.newIntent(Intent(Intent.ACTION_VIEW).setDataAndType(Uri.parse(trouble), "application/zip"))
            settle()
            assertTrue(trouble, ShadowToast.getTextOfLatestToast().contains("share it again"))
        }
        assertTrue(photos.items().isEmpty() && bundles.items().isEmpty())
    }

    @Test
    fun `a bundle that was written goes to the phone's other apps by a lent address`() {
        start()
        book.carrier.change("/casting", listOf(Pair("name", "Sample, invented")), emptyList())
        book.carrier.change("/exchange/write", listOf(Pair("what", "new")), emptyList())
        while ("/exchange/file" !in book.carrier.look("/exchange").words) Thread.sleep(20)
        book.desk.execute { book.carrier.change("/shell/hand-on", emptyList(), emptyList()) }
        settle()
        val chooser = shadowOf(activity).nextStartedActivity
        assertEquals(Intent.ACTION_CHOOSER, chooser.action)
        val send = chooser.getParcelableExtra(Intent.EXTRA_INTENT, Intent::class.java)!!
        assertEquals("application/zip", send.type)
        assertTrue(send.flags and Intent.FLAG_GRANT_READ_URI_PERMISSION != 0)
        val lent = send.getParcelableExtra(Intent.EXTRA_STREAM, Uri::class.java)!!
        assertEquals("application/zip", activity.contentResolver.getType(lent))
        val start = activity.contentResolver.openInputStream(lent)!!.use { it.readNBytes(2) }
        assertEquals("PK", start.decodeToString()) // as every zip file begins (APPNOTE, section 4.3.7)
        assertThrows(FileNotFoundException::class.java) { provider.openFile(lent, "w") }
    }

    @Test
    fun `a page that asks for a bundle gets what the phone has, and no camera`() {
        start()
        var given: Array<Uri>? = null
        assertTrue(shadowOf(view).webChromeClient.onShowFileChooser(view, ValueCallback { given = it }, Wanted(".zip", "application/zip")))
        val asked = shadowOf(activity).nextStartedActivityForResult
        assertNull(asked.intent.getParcelableArrayExtra(Intent.EXTRA_INITIAL_INTENTS, Intent::class.java))
        ShadowContentResolver.registerProviderInternal("mail", Lender())
        shadowOf(activity).receiveResult(asked.intent, Activity.RESULT_OK, Intent().setData(lend("content://mail/barn.zip", "application/zip", byteArrayOf(5))))
        settle()
        assertEquals("application/zip", activity.contentResolver.getType(given!!.single()))
        assertEquals("barn.zip", book.chosen.items().single().name)
    }

    @Test
    fun `the app is on the shop's network while it shows, and its pages on none`() {
        start()
        val connectivity = activity.getSystemService(ConnectivityManager::class.java)!!
        assertTrue(view.settings.blockNetworkLoads)
        val wifi = ShadowNetwork.newInstance(3)
        shadowOf(connectivity).networkCallbacks.forEach { it.onAvailable(wifi) }
        assertEquals(wifi, connectivity.boundNetworkForProcess)
        shadowOf(connectivity).networkCallbacks.forEach { it.onLost(wifi) }
        assertNull(connectivity.boundNetworkForProcess)
        shadowOf(connectivity).networkCallbacks.forEach { it.onAvailable(wifi) }
        shown!!.pause().stop()
        assertNull(connectivity.boundNetworkForProcess)
        assertTrue(shadowOf(connectivity).networkCallbacks.isEmpty())
    }

    @Test
    fun `photos from the gallery are copied in and wait, our own files are not read out`() {
        start()
        ShadowContentResolver.registerProviderInternal("gallery", Lender())
        val lent = lend("content://gallery/1", "image/jpeg", byteArrayOf(1, 2, 3))
        val send = Intent(Intent.ACTION_SEND_MULTIPLE).setType("image/jpeg").putParcelableArrayListExtra(
            Intent.EXTRA_STREAM,
            arrayListOf(lent, Uri.parse("content://org.holebook.app.files/shared/x/y"), Uri.parse("content://0@org.holebook.app.files/shared/x/y"), Uri.parse("file:///etc/hosts")),
        )
        shown!!.newIntent(send)
        settle()
        val waiting = photos.items()
        assertEquals(1, waiting.size)
        assertArrayEquals(byteArrayOf(1, 2, 3), waiting.single().file.readBytes())
    }

    @Test
    fun `a page that asks for a photo gets the camera app and the phone's own chooser`() {
        start()
        var given: Array<Uri>? = null
        assertTrue(shadowOf(view).webChromeClient.onShowFileChooser(view, ValueCallback { given = it }, PHOTO))
        val asked = shadowOf(activity).nextStartedActivityForResult
        assertEquals(Intent.ACTION_CHOOSER, asked.intent.action)
        @Suppress("DEPRECATION") val camera = asked.intent.getParcelableArrayExtra(Intent.EXTRA_INITIAL_INTENTS)!!.single() as Intent
        assertEquals(MediaStore.ACTION_IMAGE_CAPTURE, camera.action)
        @Suppress("DEPRECATION") val place = camera.getParcelableExtra<Uri>(MediaStore.EXTRA_OUTPUT)!!
        assertTrue(camera.flags and Intent.FLAG_GRANT_WRITE_URI_PERMISSION != 0)
        activity.contentResolver.openOutputStream(place)!!.use { it.write(byteArrayOf(7, 8)) }
        shadowOf(activity).receiveResult(asked.intent, Activity.RESULT_OK, null)
        settle()
        val photo = given!!.single()
        assertEquals(HandedFiles.AUTHORITY, photo.authority)
        assertArrayEquals(byteArrayOf(7, 8), activity.contentResolver.openInputStream(photo)!!.readBytes())
        assertEquals("photo.jpg", book.chosen.items().single().name)
        assertThrows(FileNotFoundException::class.java) { provider.openFile(photo, "w") }
    }

    @Test
    fun `a chooser that is left answers the page, so that it may ask again`() {
        start()
        var answers = 0
        shadowOf(view).webChromeClient.onShowFileChooser(view, ValueCallback { answers += 1; assertNull(it) }, PHOTO)
        shadowOf(activity).receiveResult(shadowOf(activity).nextStartedActivityForResult.intent, Activity.RESULT_CANCELED, null)
        assertEquals(1, answers)
    }

    @Test
    fun `a photo that comes after Android ended the app waits for its face`() {
        start()
        shadowOf(view).webChromeClient.onShowFileChooser(view, ValueCallback { }, PHOTO)
        val asked = shadowOf(activity).nextStartedActivityForResult
        val lent = Uri.parse("content://gallery/2")
        shown!!.recreate()
        shadowOf(activity.contentResolver).registerInputStream(lent, ByteArrayInputStream(byteArrayOf(4)))
        activity.onActivityResult(asked.requestCode, Activity.RESULT_OK, Intent().apply { clipData = ClipData.newRawUri(null, lent) })
        settle()
        assertEquals(1, photos.items().size)
    }

    @Test
    fun `what was typed is in the instance state and comes back from it`() {
        start()
        book.drafts.keep("/hole/1", """{"/hole/1/reading#0":[["value",0,"32"]]}""")
        val state = Bundle()
        shown!!.saveInstanceState(state).pause().stop().destroy()
        book.drafts.keep("/hole/1", null) // as in a new process
        shown = Robolectric.buildActivity(ShellActivity::class.java).setup(state)
        assertNotNull(book.drafts.of("/hole/1"))
    }

    @Test
    fun `volume keys are the hole's page's alone`() {
        start()
        val down = KeyEvent(KeyEvent.ACTION_DOWN, KeyEvent.KEYCODE_VOLUME_DOWN)
        assertFalse(activity.onKeyDown(KeyEvent.KEYCODE_VOLUME_DOWN, down))
        view.loadUrl("https://notebook.invalid/hole/1")
        assertTrue(activity.onKeyDown(KeyEvent.KEYCODE_VOLUME_DOWN, down))
        assertTrue(activity.onKeyUp(KeyEvent.KEYCODE_VOLUME_UP, down))
        assertFalse(activity.onKeyDown(KeyEvent.KEYCODE_A, down))
    }

    @Test
    fun `the provider gives what was lent its name and size, and nothing else`() {
        val context: Context = start()
        val sheet = book.handedOut.fresh("shared", "Cover joint - sheet.html").apply { writeText("abc") }
        val address = HandedFiles.address(context, sheet)
        context.contentResolver.query(address, null, null, null, null)!!.use {
            assertTrue(it.moveToFirst())
            assertEquals("Cover joint - sheet.html", it.getString(0))
            assertEquals(3, it.getLong(1))
        }
        assertEquals("text/html", context.contentResolver.getType(address))
        val wrong = Uri.parse("content://org.holebook.app.files/shared/..%2F..%2Fnotebook/notebook.db")
        assertThrows(FileNotFoundException::class.java) { context.contentResolver.openInputStream(wrong) }
    }
}

private val PHOTO = Wanted("image/jpeg", "image/png")

/** A page that asks for one file. */
private class Wanted(private vararg val types: String) : WebChromeClient.FileChooserParams() {
    override fun getMode() = MODE_OPEN
    override fun getAcceptTypes() = arrayOf(*types)
    override fun isCaptureEnabled() = false
    override fun getTitle(): CharSequence? = null
    override fun getFilenameHint(): String? = null
    override fun createIntent() = Intent(Intent.ACTION_GET_CONTENT)
}

/** Another app that lends files, some of them badly. */
private class Lender : ContentProvider() {
    override fun onCreate() = true

    override fun getType(uri: Uri): String? {
        check(uri.lastPathSegment != "gone.zip") { "whatever is wrong in another app" }
        return types[uri.toString()]
    }

    override fun query(uri: Uri, projection: Array<String>?, selection: String?, arguments: Array<String>?, order: String?): Cursor? = null

    override fun openFile(uri: Uri, mode: String): ParcelFileDescriptor? = throw SecurityException("not lent any more")

    override fun insert(uri: Uri, values: ContentValues?): Uri? = null
    override fun update(uri: Uri, values: ContentValues?, selection: String?, arguments: Array<String>?) = 0
    override fun delete(uri: Uri, selection: String?, arguments: Array<String>?) = 0

    companion object {
        val types = mutableMapOf<String, String>()
    }
}

private class Asked(private val address: Uri, private val by: String = "GET") : WebResourceRequest {
    override fun getUrl(): Uri = address
    override fun isForMainFrame() = true
    override fun isRedirect() = false
    override fun hasGesture() = false
    override fun getMethod(): String = by
    override fun getRequestHeaders(): Map<String, String> = emptyMap()
}
