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
import android.webkit.WebResourceResponse
import android.webkit.WebView
import java.io.ByteArrayInputStream
import java.io.FileNotFoundException
import org.holebook.app.shell.FileKind
import org.holebook.app.shell.SharedFiles
import org.holebook.app.shell.SheetRequest
import org.holebook.app.shell.redirectTarget
import org.holebook.app.shell.text
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

/** The activity on the framework's own code, with Robolectric's fake WebView. */
@RunWith(RobolectricTestRunner::class)
@Config(sdk = [35], shadows = [FakeDiscovery::class])
class ShellActivityTest {
    @get:Rule
    val fresh = FreshAppContainer()

    private lateinit var provider: SharedFileProvider
    private var controller: ActivityController<ShellActivity>? = null
    private val activity get() = controller!!.get()
    private val app get() = AppContainer.of(activity)
    private val photos get() = app.incoming.of(FileKind.PHOTO)
    private val bundles get() = app.incoming.of(FileKind.BUNDLE)
    private val lastUrl: String? get() = shadowOf(view).lastLoadedUrl

    private val view: WebView
        get() {
            val content = activity.findViewById<ViewGroup>(android.R.id.content)!!
            return (content.getChildAt(0) as ViewGroup).getChildAt(0) as WebView
        }

    @After
    fun close() {
        controller?.close()
    }

    private fun start(intent: Intent? = null): ShellActivity {
        provider = Robolectric.buildContentProvider(SharedFileProvider::class.java)
            .create(SharedFileProvider.AUTHORITY)
            .get()
        controller = Robolectric.buildActivity(ShellActivity::class.java, intent).setup()
        return activity
    }

    /** Waits for the worker and for what it posted to the main thread. */
    private fun finishWork() {
        app.worker.submit {}.get()
        shadowOf(Looper.getMainLooper()).idle()
    }

    private fun newIntent(intent: Intent) {
        controller!!.newIntent(intent)
        finishWork()
    }

    private fun request(address: String, method: String = "GET"): WebResourceResponse? {
        val request = FakeRequest(Uri.parse(address), method)
        return shadowOf(view).webViewClient.shouldInterceptRequest(view, request)
    }

    private fun page(address: String) = request(address)!!.data.readBytes().decodeToString()

    @Test
    fun `opens the castings in a view that is closed to everything else`() {
        start()
        assertEquals("$ORIGIN/", lastUrl)
        with(view.settings) {
            assertFalse(allowFileAccess || allowContentAccess)
            assertFalse(javaScriptCanOpenWindowsAutomatically)
            assertTrue(javaScriptEnabled)
        }
    }

    @Test
    fun `answers requests for the notebook and no others`() {
        start()
        val page = request("$ORIGIN/")!!
        assertEquals(200, page.statusCode)
        assertEquals("text/html", page.mimeType)
        val policy = page.responseHeaders.getValue("content-security-policy")
        assertTrue(policy.contains("default-src 'none'"))
        assertTrue(page.data.readBytes().decodeToString().contains("Castings"))
        assertEquals("text/javascript", request("$ORIGIN/shell/shell.js")!!.mimeType)
        assertEquals(404, request("$ORIGIN/hole/nothing")!!.statusCode)
        assertEquals(405, request("$ORIGIN/casting", "POST")!!.statusCode)
        val others = listOf(
            "https://example.org/",
            "http://notebook.invalid/",
            "file:///etc/hosts",
            "content://org.holebook.app.files/x",
        )
        for (other in others) assertEquals(other, 403, request(other)!!.statusCode)
        assertNull(request("data:,"))
    }

    @Test
    fun `a link out of the notebook opens outside`() {
        start()
        val client = shadowOf(view).webViewClient
        fun isOutside(address: String) =
            client.shouldOverrideUrlLoading(view, FakeRequest(Uri.parse(address)))
        assertFalse(isOutside("$ORIGIN/settings"))
        assertTrue(isOutside("https://example.org/manual"))
        val opened = shadowOf(activity).nextStartedActivity
        assertEquals(Intent.ACTION_VIEW, opened.action)
        assertEquals("https://example.org/manual", opened.dataString)
        assertTrue(isOutside("intent://x#Intent;end"))
        assertNull(shadowOf(activity).nextStartedActivity)
    }

    private val code = "holebook://pair?v=1&a=192.168.1.5:29376&k=key&s=secret"

    private fun viewIntent(address: String) = Intent(Intent.ACTION_VIEW, Uri.parse(address))

    /** The value of the code field on the current page. */
    private fun codeField() = page(lastUrl!!)
        .substringAfter("<textarea").substringAfter('>').substringBefore("</textarea>").trim()

    private fun escaped(text: String) = text.replace("&", "&amp;")

    @Test
    fun `a pairing link fills in the field of the pairing page and pairs nothing`() {
        start(viewIntent(code))
        assertTrue(lastUrl!!.startsWith("$ORIGIN/pair?code=holebook"))
        assertEquals(escaped(code), codeField())
        val other = code.replace("1.5", "1.6")
        newIntent(viewIntent(other))
        assertEquals(escaped(other), codeField())
        assertTrue(page("$ORIGIN/sync").contains("No remote yet."))
    }

    @Test
    fun `rotation or a restart does not open the link again`() {
        start(viewIntent(code))
        view.loadUrl("$ORIGIN/settings")
        controller!!.recreate()
        assertFalse("/pair" in lastUrl.orEmpty())
        val state = Bundle()
        controller!!.saveInstanceState(state).pause().stop().destroy()
        val restored = Robolectric.buildActivity(ShellActivity::class.java, viewIntent(code))
        controller = restored.setup(state)
        assertFalse("/pair" in lastUrl.orEmpty())
        controller!!.close()
        // From the list of recent apps, in a new process, with the first intent.
        val history = Intent.FLAG_ACTIVITY_LAUNCHED_FROM_HISTORY
        start(viewIntent(code).addFlags(history))
        assertEquals("$ORIGIN/", lastUrl)
    }

    @Test
    fun `a link without a pairing code says so, and only the address of an intent is read`() {
        start()
        val wrongLinks = listOf(
            "holebook://pair",
            "holebook:pair?v=1",
            "holebook://other?v=1",
            "holebook://pair?v=1&x=" + "y".repeat(100_000),
            "HOLEBOOK:",
        )
        for (wrong in wrongLinks) {
            newIntent(viewIntent(wrong))
            assertEquals(wrong.take(40), "$ORIGIN/shell/no-code", lastUrl)
        }
        val before = lastUrl
        val extras = Intent("org.holebook.app.PAIR")
            .putExtra("code", code)
            .putExtra(Intent.EXTRA_TEXT, code)
        val database = "data/data/org.holebook.app/files/notebook/notebook.sqlite"
        val others = listOf(
            extras,
            viewIntent("https://example.org/?$code"),
            viewIntent("javascript:alert(1)"),
            viewIntent("file:///$database"),
        )
        for (other in others) {
            newIntent(other)
            assertEquals(before, lastUrl)
        }
        assertTrue(photos.items().isEmpty() && bundles.items().isEmpty())
    }

    private fun registerOtherApp(authority: String) =
        ShadowContentResolver.registerProviderInternal(authority, OtherApp())

    /** Makes another app share a file; returns its address. */
    private fun shareFrom(address: String, type: String, vararg bytes: Byte): Uri {
        val uri = Uri.parse(address)
        val stream = ByteArrayInputStream(bytes)
        shadowOf(activity.contentResolver).registerInputStream(uri, stream)
        OtherApp.types[address] = type
        return uri
    }

    private fun sendIntent(uri: Uri) = Intent(Intent.ACTION_SEND).putExtra(Intent.EXTRA_STREAM, uri)

    @Test
    fun `a bundle that is shared or opened is copied and waits on the sync page`() {
        start()
        registerOtherApp("mail")
        newIntent(sendIntent(shareFrom("content://mail/1", "application/zip", 1, 2)))
        assertEquals("$ORIGIN/sync", lastUrl)
        val opened = shareFrom("content://mail/barn.zip", "application/octet-stream", 3)
        newIntent(Intent(Intent.ACTION_VIEW).setDataAndType(opened, "application/zip"))
        assertEquals(listOf(2L, 1L), bundles.items().map { it.file.length() })
        assertTrue(photos.items().isEmpty())
        val page = page("$ORIGIN/sync")
        assertTrue(page.contains("data-waiting=\"bundle\"") && page.contains("1 more waits"))
    }

    @Test
    fun `unsupported and unreadable files are not kept`() {
        start()
        registerOtherApp("mail")
        newIntent(sendIntent(shareFrom("content://mail/letter.pdf", "application/pdf", 1)))
        val toast = { ShadowToast.getTextOfLatestToast() }
        assertTrue(toast().contains("neither a photo nor a bundle"))
        for (broken in listOf("content://mail/refused.zip", "content://mail/gone.zip")) {
            val intent = Intent(Intent.ACTION_VIEW)
            newIntent(intent.setDataAndType(Uri.parse(broken), "application/zip"))
            assertTrue(broken, toast().contains("share it again"))
        }
        assertTrue(photos.items().isEmpty() && bundles.items().isEmpty())
    }

    @Test
    fun `an exported bundle is shared with other apps by a granted address`() {
        start()
        val casting = listOf(Pair("name", "Sample, invented"))
        app.carrier.post("/casting", casting, emptyList())
        app.carrier.post("/sync/export", listOf(Pair("what", "new")), emptyList())
        while ("/sync/file" !in app.carrier.get("/sync").text) Thread.sleep(20)
        val file = listOf(Pair("address", "/sync/file"), Pair("back", "/sync"))
        app.worker.execute { app.carrier.post("/shell/share-file", file, emptyList()) }
        finishWork()
        val chooser = shadowOf(activity).nextStartedActivity
        assertEquals(Intent.ACTION_CHOOSER, chooser.action)
        val send = chooser.getParcelableExtra(Intent.EXTRA_INTENT, Intent::class.java)!!
        assertEquals("application/zip", send.type)
        assertTrue(send.flags and Intent.FLAG_GRANT_READ_URI_PERMISSION != 0)
        val uri = send.getParcelableExtra(Intent.EXTRA_STREAM, Uri::class.java)!!
        assertEquals("application/zip", activity.contentResolver.getType(uri))
        val start = activity.contentResolver.openInputStream(uri)!!.use { it.readNBytes(2) }
        assertEquals("PK", start.decodeToString()) // as zip files start (APPNOTE, section 4.3.7)
        assertThrows(FileNotFoundException::class.java) { provider.openFile(uri, "w") }
    }

    @Test
    fun `a kit is shared as a file that another app can read`() {
        start()
        val file = listOf(Pair("address", "/kit/csv"), Pair("back", "/kit"))
        app.worker.execute { app.carrier.post("/shell/share-file", file, emptyList()) }
        finishWork()
        val chooser = shadowOf(activity).nextStartedActivity
        val send = chooser.getParcelableExtra(Intent.EXTRA_INTENT, Intent::class.java)!!
        assertEquals("text/csv", send.type)
        val uri = send.getParcelableExtra(Intent.EXTRA_STREAM, Uri::class.java)!!
        val text = activity.contentResolver.openInputStream(uri)!!.use { it.readBytes() }
        assertTrue("group,item,needed" in text.decodeToString())
    }

    @Test
    fun `every kind of sheet is made under its own name`() {
        start()
        fun added(address: String, name: String): String {
            val form = listOf(Pair("name", name))
            val next = app.carrier.post(address, form, emptyList()).redirectTarget!!
            return next.substringBefore('?').substringBefore('#')
        }
        val casting = added("/casting", "Sample, invented")
        val face = added("$casting/face", "Deck").removePrefix("/face/")
        for (kind in listOf("work", "record", "template", "label", "bolt-up")) {
            val sheet = app.sheet(SheetRequest(face, kind))
            assertEquals("Deck - $kind.pdf", sheet.name)
            assertEquals("%PDF-", sheet.readBytes().decodeToString(0, 5))
        }
        assertEquals("Deck - job sheet.html", app.sheet(SheetRequest(face)).name)
    }

    private var chosen: Array<Uri>? = null

    /** Asks for a file as a page does; returns the request to other apps. */
    private fun choose(params: FakeParams) = shadowOf(activity).run {
        val client = shadowOf(view).webChromeClient
        assertTrue(client.onShowFileChooser(view, ValueCallback { chosen = it }, params))
        nextStartedActivityForResult
    }

    @Test
    fun `a page that asks for a bundle gets the phone's files, and no camera`() {
        start()
        val request = choose(FakeParams(".zip", "application/zip")).intent
        val extra = Intent.EXTRA_INITIAL_INTENTS
        assertNull(request.getParcelableArrayExtra(extra, Intent::class.java))
        registerOtherApp("mail")
        val bundle = shareFrom("content://mail/barn.zip", "application/zip", 5)
        val result = Intent().setData(bundle)
        shadowOf(activity).receiveResult(request, Activity.RESULT_OK, result)
        finishWork()
        assertEquals("application/zip", activity.contentResolver.getType(chosen!!.single()))
        assertEquals("barn.zip", app.chosen.items().single().name)
    }

    @Test
    fun `the app is on the shop's network while it is visible, and its pages on none`() {
        start()
        val connectivity = activity.getSystemService(ConnectivityManager::class.java)!!
        assertTrue(view.settings.blockNetworkLoads)
        val wifi = ShadowNetwork.newInstance(3)
        val callbacks = { shadowOf(connectivity).networkCallbacks }
        callbacks().forEach { it.onAvailable(wifi) }
        assertEquals(wifi, connectivity.boundNetworkForProcess)
        callbacks().forEach { it.onLost(wifi) }
        assertNull(connectivity.boundNetworkForProcess)
        callbacks().forEach { it.onAvailable(wifi) }
        controller!!.pause().stop()
        assertNull(connectivity.boundNetworkForProcess)
        assertTrue(callbacks().isEmpty())
    }

    @Test
    fun `shared photos are copied and wait, and our own files are not read`() {
        start()
        registerOtherApp("gallery")
        val photo = shareFrom("content://gallery/1", "image/jpeg", 1, 2, 3)
        val own = "org.holebook.app.files/sheets/x/y"
        val addresses = listOf("content://$own", "content://0@$own", "file:///etc/hosts")
        val uris = ArrayList(listOf(photo) + addresses.map(Uri::parse))
        val send = Intent(Intent.ACTION_SEND_MULTIPLE).setType("image/jpeg")
        newIntent(send.putParcelableArrayListExtra(Intent.EXTRA_STREAM, uris))
        val waiting = photos.items()
        assertEquals(1, waiting.size)
        assertArrayEquals(byteArrayOf(1, 2, 3), waiting.single().file.readBytes())
    }

    @Test
    fun `a page that asks for a photo gets the camera and the gallery`() {
        start()
        val request = choose(PHOTO).intent
        assertEquals(Intent.ACTION_CHOOSER, request.action)
        val extra = Intent.EXTRA_INITIAL_INTENTS
        val camera = request.getParcelableArrayExtra(extra, Intent::class.java)!!.single()
        assertEquals(MediaStore.ACTION_IMAGE_CAPTURE, camera.action)
        val output = camera.getParcelableExtra(MediaStore.EXTRA_OUTPUT, Uri::class.java)!!
        assertTrue(camera.flags and Intent.FLAG_GRANT_WRITE_URI_PERMISSION != 0)
        val resolver = activity.contentResolver
        resolver.openOutputStream(output)!!.use { it.write(byteArrayOf(7, 8)) }
        shadowOf(activity).receiveResult(request, Activity.RESULT_OK, null)
        finishWork()
        val photo = chosen!!.single()
        assertEquals(SharedFileProvider.AUTHORITY, photo.authority)
        assertArrayEquals(byteArrayOf(7, 8), resolver.openInputStream(photo)!!.readBytes())
        assertEquals("photo.jpg", app.chosen.items().single().name)
        assertThrows(FileNotFoundException::class.java) { provider.openFile(photo, "w") }
    }

    @Test
    fun `a canceled choice answers the page, so that it can ask again`() {
        start()
        chosen = emptyArray()
        val request = choose(PHOTO).intent
        shadowOf(activity).receiveResult(request, Activity.RESULT_CANCELED, null)
        assertNull(chosen)
    }

    @Test
    fun `a photo that arrives after Android ended the app waits for its face`() {
        start()
        val request = choose(PHOTO).requestCode
        val photo = Uri.parse("content://gallery/2")
        controller!!.recreate()
        val stream = ByteArrayInputStream(byteArrayOf(4))
        shadowOf(activity.contentResolver).registerInputStream(photo, stream)
        val result = Intent().apply { clipData = ClipData.newRawUri(null, photo) }
        activity.onActivityResult(request, Activity.RESULT_OK, result)
        finishWork()
        assertEquals(1, photos.items().size)
    }

    @Test
    fun `drafts are saved in the instance state and restored`() {
        start()
        app.drafts.keep("/hole/1", """{"/hole/1/reading#0":[["value",0,"32"]]}""")
        val state = Bundle()
        controller!!.saveInstanceState(state).pause().stop().destroy()
        app.drafts.keep("/hole/1", null) // as in a new process
        controller = Robolectric.buildActivity(ShellActivity::class.java).setup(state)
        assertNotNull(app.drafts.of("/hole/1"))
    }

    @Test
    fun `the volume keys are used on a hole's page and in a tool run only`() {
        start()
        val down = KeyEvent(KeyEvent.ACTION_DOWN, KeyEvent.KEYCODE_VOLUME_DOWN)
        assertFalse(activity.onKeyDown(KeyEvent.KEYCODE_VOLUME_DOWN, down))
        view.loadUrl("$ORIGIN/hole/1")
        assertTrue(activity.onKeyDown(KeyEvent.KEYCODE_VOLUME_DOWN, down))
        assertTrue(activity.onKeyUp(KeyEvent.KEYCODE_VOLUME_UP, down))
        assertFalse(activity.onKeyDown(KeyEvent.KEYCODE_A, down))
        view.loadUrl("$ORIGIN/face/1/runs/29-64-drill")
        assertTrue(activity.onKeyDown(KeyEvent.KEYCODE_VOLUME_DOWN, down))
        view.loadUrl("$ORIGIN/face/1/runs")
        assertFalse(activity.onKeyDown(KeyEvent.KEYCODE_VOLUME_DOWN, down))
    }

    @Test
    fun `the provider tells the name and size of a shared file, and finds no others`() {
        val context: Context = start()
        val name = "Cover joint - job sheet.html"
        val sheet = app.sharedFiles.create(SharedFiles.SHEETS, name).apply { writeText("abc") }
        val uri = SharedFileProvider.uriOf(context, sheet)
        context.contentResolver.query(uri, null, null, null, null)!!.use {
            assertTrue(it.moveToFirst())
            assertEquals(name, it.getString(0))
            assertEquals(3, it.getLong(1))
        }
        assertEquals("text/html", context.contentResolver.getType(uri))
        val outside = "content://org.holebook.app.files/sheets/..%2F..%2Fnotebook/notebook.sqlite"
        assertThrows(FileNotFoundException::class.java) {
            context.contentResolver.openInputStream(Uri.parse(outside))
        }
    }

    private companion object {
        const val ORIGIN = "https://notebook.invalid"
        val PHOTO = FakeParams("image/jpeg", "image/png")
    }
}

/** A page that asks for one file. */
private class FakeParams(private vararg val types: String) : WebChromeClient.FileChooserParams() {
    override fun getMode() = MODE_OPEN
    override fun getAcceptTypes() = arrayOf(*types)
    override fun isCaptureEnabled() = false
    override fun getTitle(): CharSequence? = null
    override fun getFilenameHint(): String? = null
    override fun createIntent() = Intent(Intent.ACTION_GET_CONTENT)
}

/** Another app that shares files, some of which fail. */
private class OtherApp : ContentProvider() {
    override fun onCreate() = true

    override fun getType(uri: Uri): String? {
        check(uri.lastPathSegment != "gone.zip") { "a bug in the other app" }
        return types[uri.toString()]
    }

    override fun query(
        uri: Uri,
        projection: Array<String>?,
        selection: String?,
        arguments: Array<String>?,
        order: String?,
    ): Cursor? = null

    override fun openFile(uri: Uri, mode: String): ParcelFileDescriptor? =
        throw SecurityException("access was revoked")

    override fun insert(uri: Uri, values: ContentValues?): Uri? = null

    override fun update(
        uri: Uri,
        values: ContentValues?,
        selection: String?,
        arguments: Array<String>?,
    ) = 0

    override fun delete(uri: Uri, selection: String?, arguments: Array<String>?) = 0

    companion object {
        val types = mutableMapOf<String, String>()
    }
}

private class FakeRequest(
    private val uri: Uri,
    private val method: String = "GET",
) : WebResourceRequest {
    override fun getUrl(): Uri = uri
    override fun isForMainFrame() = true
    override fun isRedirect() = false
    override fun hasGesture() = false
    override fun getMethod(): String = method
    override fun getRequestHeaders(): Map<String, String> = emptyMap()
}
