package org.holebook.app

import android.app.Activity
import android.content.ClipData
import android.content.Context
import android.content.Intent
import android.net.Uri
import android.os.Bundle
import android.os.Looper
import android.provider.MediaStore
import android.view.KeyEvent
import android.view.ViewGroup
import android.webkit.ValueCallback
import android.webkit.WebChromeClient
import android.webkit.WebResourceRequest
import android.webkit.WebView
import java.io.ByteArrayInputStream
import java.io.FileNotFoundException
import org.junit.After
import org.junit.Assert.assertArrayEquals
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNotNull
import org.junit.Assert.assertNull
import org.junit.Assert.assertThrows
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Robolectric
import org.robolectric.RobolectricTestRunner
import org.robolectric.Shadows.shadowOf
import org.robolectric.android.controller.ActivityController
import org.robolectric.annotation.Config

/** The activity itself, on the framework's own code, with Robolectric's stand-in for the WebView. */
@RunWith(RobolectricTestRunner::class)
@Config(sdk = [35])
class ShellActivityTest {
    private lateinit var provider: HandedFiles
    private var shown: ActivityController<ShellActivity>? = null
    private val activity get() = shown!!.get()
    private val view get() = (activity.findViewById<ViewGroup>(android.R.id.content)!!.getChildAt(0) as ViewGroup).getChildAt(0) as WebView
    private val book get() = Book.of(activity)

    @After
    fun shut() {
        shown?.close()
    }

    private fun start(intent: Intent? = null): ShellActivity {
        provider = Robolectric.buildContentProvider(HandedFiles::class.java).create(HandedFiles.AUTHORITY).get()
        shown = Robolectric.buildActivity(ShellActivity::class.java, intent).setup()
        book.waiting.empty() // one process runs all tests
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

    @Test
    fun `a pairing link shows what this version can do`() {
        start(Intent(Intent.ACTION_VIEW, Uri.parse("holebook://pair?x=1")))
        assertEquals("https://notebook.invalid/shell/pair", shadowOf(view).lastLoadedUrl)
    }

    @Test
    fun `photos from the gallery are copied in and wait, our own files are not read out`() {
        start()
        val lent = Uri.parse("content://gallery/1")
        shadowOf(activity.contentResolver).registerInputStream(lent, ByteArrayInputStream(byteArrayOf(1, 2, 3)))
        val send = Intent(Intent.ACTION_SEND_MULTIPLE).setType("image/jpeg").putParcelableArrayListExtra(
            Intent.EXTRA_STREAM,
            arrayListOf(lent, Uri.parse("content://org.holebook.app.files/shared/x/y"), Uri.parse("content://0@org.holebook.app.files/shared/x/y"), Uri.parse("file:///etc/hosts")),
        )
        shown!!.newIntent(send)
        settle()
        val waiting = book.waiting.photos()
        assertEquals(1, waiting.size)
        assertArrayEquals(byteArrayOf(1, 2, 3), waiting.single().file.readBytes())
    }

    @Test
    fun `a page that asks for a photo gets the camera app and the phone's own chooser`() {
        start()
        var given: Array<Uri>? = null
        assertTrue(shadowOf(view).webChromeClient.onShowFileChooser(view, ValueCallback { given = it }, Photo))
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
        assertEquals("photo.jpg", book.chosen.photos().single().name)
        assertThrows(FileNotFoundException::class.java) { provider.openFile(photo, "w") }
    }

    @Test
    fun `a chooser that is left answers the page, so that it may ask again`() {
        start()
        var answers = 0
        shadowOf(view).webChromeClient.onShowFileChooser(view, ValueCallback { answers += 1; assertNull(it) }, Photo)
        shadowOf(activity).receiveResult(shadowOf(activity).nextStartedActivityForResult.intent, Activity.RESULT_CANCELED, null)
        assertEquals(1, answers)
    }

    @Test
    fun `a photo that comes after Android ended the app waits for its face`() {
        start()
        shadowOf(view).webChromeClient.onShowFileChooser(view, ValueCallback { }, Photo)
        val asked = shadowOf(activity).nextStartedActivityForResult
        val lent = Uri.parse("content://gallery/2")
        shown!!.recreate()
        shadowOf(activity.contentResolver).registerInputStream(lent, ByteArrayInputStream(byteArrayOf(4)))
        activity.onActivityResult(asked.requestCode, Activity.RESULT_OK, Intent().apply { clipData = ClipData.newRawUri(null, lent) })
        settle()
        assertEquals(1, book.waiting.photos().size)
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

/** A page that asks for one photo. */
private object Photo : WebChromeClient.FileChooserParams() {
    override fun getMode() = MODE_OPEN
    override fun getAcceptTypes() = arrayOf("image/jpeg", "image/png")
    override fun isCaptureEnabled() = false
    override fun getTitle(): CharSequence? = null
    override fun getFilenameHint(): String? = null
    override fun createIntent() = Intent(Intent.ACTION_GET_CONTENT)
}

private class Asked(private val address: Uri, private val by: String = "GET") : WebResourceRequest {
    override fun getUrl(): Uri = address
    override fun isForMainFrame() = true
    override fun isRedirect() = false
    override fun hasGesture() = false
    override fun getMethod(): String = by
    override fun getRequestHeaders(): Map<String, String> = emptyMap()
}
