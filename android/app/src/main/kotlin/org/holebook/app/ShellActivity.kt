package org.holebook.app

import android.app.Activity
import android.content.ActivityNotFoundException
import android.content.Intent
import android.net.Uri
import android.os.Bundle
import android.view.KeyEvent
import android.webkit.WebView
import android.widget.FrameLayout
import java.io.IOException
import org.holebook.app.carry.Address
import org.holebook.app.carry.Kind
import org.holebook.app.carry.PairLink
import org.holebook.app.carry.Place
import org.holebook.app.carry.Strips

/** The one window: the screens, and round them what only the phone can do. */
class ShellActivity : Activity(), Gatekeeper {
    private lateinit var book: Book
    private lateinit var view: WebView
    private lateinit var line: PageLine
    private lateinit var chooser: Chooser
    private lateinit var hands: PhoneHands
    private lateinit var backKey: BackKey

    override fun onCreate(state: Bundle?) {
        super.onCreate(state)
        book = Book.of(this)
        view = Screen.make(this)
        line = PageLine(view, book)
        chooser = Chooser(this, book)
        hands = PhoneHands(this, view, book).also { book.hands = it }
        backKey = BackKey(this, view::goBack)
        view.webViewClient = Gate(book.carrier, this)
        view.webChromeClient = chooser
        val paper = FrameLayout(this).apply { addView(view) }
        setContentView(paper)
        Edges.keepClear(window, paper)
        if (state == null) begin() else resume(state)
    }

    private fun begin() {
        view.loadUrl(Place.HOME)
        // From the list of what ran last the app is opened with what opened it the first time; that was taken then.
        if (intent.flags and Intent.FLAG_ACTIVITY_LAUNCHED_FROM_HISTORY == 0) take(intent)
    }

    private fun resume(state: Bundle) {
        book.drafts.restore(state.getString(DRAFTS))
        chooser.restore(state)
        if (view.restoreState(state) == null) view.loadUrl(state.getString(ADDRESS) ?: Place.HOME)
    }

    override fun onSaveInstanceState(state: Bundle) {
        super.onSaveInstanceState(state)
        view.saveState(state)
        state.putString(ADDRESS, view.url)
        state.putString(DRAFTS, book.drafts.saved())
        chooser.save(state)
    }

    override fun onStart() {
        super.onStart()
        book.network.hold()
        book.plan()
    }

    override fun onStop() {
        book.finder.stop()
        book.network.letGo()
        super.onStop()
    }

    override fun onDestroy() {
        if (book.hands === hands) book.hands = null
        line.shut()
        view.destroy()
        super.onDestroy()
    }

    override fun onNewIntent(intent: Intent) {
        super.onNewIntent(intent)
        setIntent(intent)
        take(intent)
    }

    /** What another app asks of the notebook: to take photos or a bundle, or to pair. Nothing is done that a person has not said here. */
    private fun take(intent: Intent) {
        when (intent.action) {
            Intent.ACTION_SEND, Intent.ACTION_SEND_MULTIPLE -> takeIn(SharedIn.addresses(intent))
            Intent.ACTION_VIEW -> {
                val address = intent.data ?: return
                if (PairLink.isMeant(intent.dataString)) show(PairLink.page(address.toString())) else takeIn(listOf(address))
            }
        }
    }

    private fun takeIn(addresses: List<Uri>) = book.desk.execute {
        val kinds = mutableSetOf<Kind>()
        val trouble = try {
            for (address in addresses.filter(SharedIn::isLent)) {
                val kind = SharedIn.kind(this, address) ?: throw IOException("it is neither a photo nor a bundle")
                SharedIn.copy(this, address, kind, book.incoming.of(kind))
                kinds += kind
            }
            null
        } catch (error: IOException) {
            "A file could not be taken (${error.message}); share it again."
        }
        runOnUiThread {
            trouble?.let { Told.briefly(this, it) }
            if (Kind.BUNDLE in kinds) show(Strips.EXCHANGE) else showAnew()
        }
    }

    private fun show(within: String) = view.loadUrl(Place.ORIGIN + within)

    /** Shows the page anew, with what has come in meanwhile. */
    fun showAnew() = view.reload()

    @Deprecated("The way of the back key before API 33; later ones come by [BackKey].")
    override fun onBackPressed() {
        @Suppress("DEPRECATION")
        if (view.canGoBack()) view.goBack() else super.onBackPressed()
    }

    public override fun onActivityResult(request: Int, result: Int, data: Intent?) {
        if (!chooser.answered(request, result, data)) super.onActivityResult(request, result, data)
    }

    /** On a hole's page the volume keys step between holes: a gloved hand finds them without looking. */
    override fun onKeyDown(key: Int, event: KeyEvent): Boolean {
        if (!steps(key)) return super.onKeyDown(key, event)
        if (event.repeatCount == 0) line.say(book.line.step(forward = key == KeyEvent.KEYCODE_VOLUME_DOWN))
        return true
    }

    override fun onKeyUp(key: Int, event: KeyEvent): Boolean = steps(key) || super.onKeyUp(key, event)

    private fun steps(key: Int): Boolean {
        val isVolume = key == KeyEvent.KEYCODE_VOLUME_DOWN || key == KeyEvent.KEYCODE_VOLUME_UP
        return isVolume && Place.within(view.url.orEmpty()).startsWith("/hole/")
    }

    override fun opened(hello: Address) {
        view.post { line.open(hello) }
    }

    override fun turned() {
        backKey.set(view.canGoBack())
        if (Place.within(view.url.orEmpty()).substringBefore('?') == Strips.EXCHANGE) book.lookForShops()
    }

    override fun leads(outside: Uri) {
        if (outside.scheme !in listOf("https", "http")) return
        try {
            startActivity(Intent(Intent.ACTION_VIEW, outside).addCategory(Intent.CATEGORY_BROWSABLE))
        } catch (_: ActivityNotFoundException) {
            Told.briefly(this, "No app on this phone opens that link.")
        }
    }

    override fun broken() = recreate()

    private companion object {
        const val ADDRESS = "address"
        const val DRAFTS = "drafts"
    }
}
