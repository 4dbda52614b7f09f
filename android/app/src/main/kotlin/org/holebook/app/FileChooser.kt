package org.holebook.app

import android.app.Activity
import android.content.ActivityNotFoundException
import android.content.ClipData
import android.content.Intent
import android.net.Uri
import android.os.Bundle
import android.provider.MediaStore
import android.webkit.ValueCallback
import android.webkit.WebChromeClient
import android.webkit.WebView
import java.io.File
import java.io.IOException
import org.holebook.app.shell.FileKind
import org.holebook.app.shell.SharedFiles

/**
 * Opens other apps when a page asks for a file: the camera or the gallery for a photo, the phone's
 * files for a bundle. They are asked by intent, so that the app needs no permission for the camera
 * or for files.
 */
class FileChooser(
    private val activity: Activity,
    private val app: AppContainer,
) : WebChromeClient() {
    private var callback: ValueCallback<Array<Uri>>? = null
    private var kind = FileKind.PHOTO
    private var cameraFile: File? = null

    override fun onShowFileChooser(
        view: WebView,
        callback: ValueCallback<Array<Uri>>,
        params: FileChooserParams,
    ): Boolean {
        this.callback?.onReceiveValue(null)
        this.callback = callback
        val kinds = params.acceptTypes.orEmpty().mapNotNull { FileKind.of(it, it) }
        kind = kinds.firstOrNull() ?: FileKind.PHOTO
        val chooser = if (kind == FileKind.PHOTO) photoChooser() else bundleChooser()
        return try {
            activity.startActivityForResult(chooser, REQUEST)
            true
        } catch (_: ActivityNotFoundException) {
            this.callback = null
            false
        }
    }

    private fun bundleChooser(): Intent {
        // Some apps do not recognize zip files, so any file may be chosen; the import checks it.
        val types = (FileKind.ZIP + "application/octet-stream").toTypedArray()
        return Intent.createChooser(openableContent("*/*", types), "Bundle")
    }

    private fun photoChooser(): Intent {
        val photo = app.sharedFiles.create(SharedFiles.CAMERA, "photo.jpg")
        cameraFile = photo
        val output = SharedFileProvider.uriOf(activity, photo)
        val capture = Intent(MediaStore.ACTION_IMAGE_CAPTURE)
            .putExtra(MediaStore.EXTRA_OUTPUT, output)
            .addFlags(Intent.FLAG_GRANT_WRITE_URI_PERMISSION)
            .addFlags(Intent.FLAG_GRANT_READ_URI_PERMISSION)
        capture.clipData = ClipData.newRawUri(null, output)
        val pick = openableContent("image/*", arrayOf("image/jpeg", "image/png"))
        return Intent.createChooser(pick, "Photo of the face")
            .putExtra(Intent.EXTRA_INITIAL_INTENTS, arrayOf(capture))
    }

    private fun openableContent(type: String, types: Array<String>) =
        Intent(Intent.ACTION_GET_CONTENT).addCategory(Intent.CATEGORY_OPENABLE).setType(type)
            .putExtra(Intent.EXTRA_MIME_TYPES, types)

    /** Handles the other app's result; returns `false` if it is for another request. */
    fun onResult(request: Int, result: Int, data: Intent?): Boolean {
        if (request != REQUEST) return false
        val callback = callback.also { callback = null }
        val photo = cameraFile.also { cameraFile = null }
        val uris = if (result == Activity.RESULT_OK) resultUris(data, photo) else emptyList()
        if (uris.isEmpty()) {
            callback?.onReceiveValue(null)
        } else {
            app.worker.execute { copy(uris, callback) }
        }
        return true
    }

    private fun resultUris(data: Intent?, photo: File?): List<Uri> {
        val chosen = IncomingContent.uris(data)
        if (chosen.isNotEmpty()) return chosen
        val taken = photo?.takeIf { it.length() > 0 } ?: return emptyList()
        return listOf(SharedFileProvider.uriOf(activity, taken))
    }

    /**
     * Copies the files for the page. If Android ended the app meanwhile, the page that asked is
     * gone, and they wait as shared files do.
     */
    private fun copy(uris: List<Uri>, callback: ValueCallback<Array<Uri>>?) {
        val kind = kind
        val queue = if (callback == null) app.incoming.of(kind) else app.chosen
        val items = try {
            uris.map { IncomingContent.copy(activity, it, kind, queue) }
        } catch (error: IOException) {
            val sentence = "The ${kind.label} was not copied (${error.message}); choose it again."
            activity.runOnUiThread {
                callback?.onReceiveValue(null)
                Toasts.show(activity, sentence)
            }
            return
        }
        activity.runOnUiThread {
            if (callback == null) {
                (activity as? ShellActivity)?.reload()
            } else {
                val shared = items.map { SharedFileProvider.uriOf(activity, it.file) }
                callback.onReceiveValue(shared.toTypedArray())
            }
        }
    }

    /** Saves to [state] what was asked for and where the camera writes, in case the app ends. */
    fun save(state: Bundle) {
        state.putString(CAMERA_FILE, cameraFile?.path)
        state.putString(KIND, kind.name)
    }

    /** Restores what [save] saved. */
    fun restore(state: Bundle) {
        cameraFile = state.getString(CAMERA_FILE)?.let(::File)
        val name = state.getString(KIND)
        kind = FileKind.entries.firstOrNull { it.name == name } ?: FileKind.PHOTO
    }

    private companion object {
        const val REQUEST = 1
        const val CAMERA_FILE = "camera"
        const val KIND = "kind"
    }
}
