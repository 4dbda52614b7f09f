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
import org.holebook.app.shell.Address
import org.holebook.app.shell.FileKind
import org.holebook.app.shell.NotebookOrigin
import org.holebook.app.shell.PairingLink
import org.holebook.app.shell.ShellRoutes

/** The app's only activity: the screens in a WebView, and what only the phone can do. */
class ShellActivity : Activity(), WebViewEvents {
    private lateinit var app: AppContainer
    private lateinit var view: WebView
    private lateinit var port: PagePort
    private lateinit var chooser: FileChooser
    private lateinit var actions: AndroidPhoneActions
    private lateinit var backGesture: BackGesture

    override fun onCreate(state: Bundle?) {
        super.onCreate(state)
        app = AppContainer.of(this)
        view = NotebookWebView.create(this)
        port = PagePort(view, app)
        chooser = FileChooser(this, app)
        actions = AndroidPhoneActions(this, view, app).also { app.phoneActions = it }
        backGesture = BackGesture(this, view::goBack)
        view.webViewClient = NotebookWebViewClient(app.carrier, this)
        view.webChromeClient = chooser
        val frame = FrameLayout(this).apply { addView(view) }
        setContentView(frame)
        EdgeToEdge.apply(window, frame)
        if (state == null) start() else resume(state)
    }

    private fun start() {
        view.loadUrl(NotebookOrigin.HOME)
        // From the list of recent apps Android repeats the first intent, which was handled then.
        if (intent.flags and Intent.FLAG_ACTIVITY_LAUNCHED_FROM_HISTORY == 0) handle(intent)
    }

    private fun resume(state: Bundle) {
        app.drafts.restore(state.getString(DRAFTS))
        chooser.restore(state)
        if (view.restoreState(state) == null) {
            view.loadUrl(state.getString(ADDRESS) ?: NotebookOrigin.HOME)
        }
    }

    override fun onSaveInstanceState(state: Bundle) {
        super.onSaveInstanceState(state)
        view.saveState(state)
        state.putString(ADDRESS, view.url)
        state.putString(DRAFTS, app.drafts.saved())
        chooser.save(state)
    }

    override fun onStart() {
        super.onStart()
        app.network.acquire()
        app.scheduleSync()
    }

    override fun onStop() {
        app.finder.stop()
        app.network.release()
        super.onStop()
    }

    override fun onDestroy() {
        if (app.phoneActions === actions) app.phoneActions = null
        port.close()
        view.destroy()
        super.onDestroy()
    }

    override fun onNewIntent(intent: Intent) {
        super.onNewIntent(intent)
        setIntent(intent)
        handle(intent)
    }

    /** Handles shared files and pairing links. Nothing is recorded or paired without a tap here. */
    private fun handle(intent: Intent) {
        when (intent.action) {
            Intent.ACTION_SEND, Intent.ACTION_SEND_MULTIPLE -> receive(IncomingContent.uris(intent))
            Intent.ACTION_VIEW -> {
                val uri = intent.data ?: return
                if (PairingLink.hasScheme(intent.dataString)) {
                    show(PairingLink.page(uri.toString()))
                } else {
                    receive(listOf(uri))
                }
            }
        }
    }

    private fun receive(uris: List<Uri>) = app.worker.execute {
        val kinds = mutableSetOf<FileKind>()
        val failure = try {
            for (uri in uris.filter(IncomingContent::isAllowed)) {
                val kind = IncomingContent.kind(this, uri)
                    ?: throw IOException("it is neither a photo nor a bundle")
                IncomingContent.copy(this, uri, kind, app.incoming.of(kind))
                kinds += kind
            }
            null
        } catch (error: IOException) {
            "A file was not received (${error.message}); share it again."
        }
        runOnUiThread {
            failure?.let { Toasts.show(this, it) }
            if (FileKind.BUNDLE in kinds) show(ShellRoutes.SYNC) else reload()
        }
    }

    private fun show(target: String) = view.loadUrl(NotebookOrigin.ORIGIN + target)

    /** Reloads the page, so that it shows new files. */
    fun reload() = view.reload()

    @Deprecated("Called before API 33 only; later versions use [BackGesture].")
    override fun onBackPressed() {
        @Suppress("DEPRECATION")
        if (view.canGoBack()) view.goBack() else super.onBackPressed()
    }

    public override fun onActivityResult(request: Int, result: Int, data: Intent?) {
        if (!chooser.onResult(request, result, data)) super.onActivityResult(request, result, data)
    }

    /** On a hole's page and in a tool run the volume keys step between holes; gloved hands find them by touch. */
    override fun onKeyDown(key: Int, event: KeyEvent): Boolean {
        if (!isStepKey(key)) return super.onKeyDown(key, event)
        val isDown = key == KeyEvent.KEYCODE_VOLUME_DOWN
        if (event.repeatCount == 0) port.send(app.bridge.step(forward = isDown))
        return true
    }

    override fun onKeyUp(key: Int, event: KeyEvent): Boolean =
        isStepKey(key) || super.onKeyUp(key, event)

    private fun isStepKey(key: Int): Boolean {
        val isVolume = key == KeyEvent.KEYCODE_VOLUME_DOWN || key == KeyEvent.KEYCODE_VOLUME_UP
        return isVolume && STEPS_BETWEEN_HOLES.containsMatchIn(currentTarget())
    }

    private fun currentTarget() = NotebookOrigin.targetOf(view.url.orEmpty())

    override fun onPageOpened(hello: Address) {
        view.post { port.open(hello) }
    }

    override fun onPageChanged() {
        backGesture.setEnabled(view.canGoBack())
        if (currentTarget().substringBefore('?') == ShellRoutes.SYNC) app.findShops()
    }

    override fun onExternalLink(uri: Uri) {
        if (uri.scheme !in listOf("https", "http")) return
        try {
            startActivity(Intent(Intent.ACTION_VIEW, uri).addCategory(Intent.CATEGORY_BROWSABLE))
        } catch (_: ActivityNotFoundException) {
            Toasts.show(this, "No app on this phone opens that link.")
        }
    }

    override fun onRendererGone() = recreate()

    private companion object {
        const val ADDRESS = "address"
        const val DRAFTS = "drafts"
        val STEPS_BETWEEN_HOLES = Regex("^/(hole/|(face|casting)/[^/]+/runs/)")
    }
}
