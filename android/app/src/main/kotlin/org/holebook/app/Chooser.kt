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
import org.holebook.app.carry.HandedOut
import org.holebook.app.carry.Kind

/**
 * Where a file comes from when a page asks for one: for a photo the phone's camera app or what the phone has, for a bundle
 * what the phone has. All are other apps, asked by intent, so that the notebook needs no permission for the camera or for
 * the phone's files.
 */
class Chooser(private val activity: Activity, private val book: Book) : WebChromeClient() {
    private var asked: ValueCallback<Array<Uri>>? = null
    private var kind = Kind.PHOTO
    private var camera: File? = null

    override fun onShowFileChooser(view: WebView, answer: ValueCallback<Array<Uri>>, wanted: FileChooserParams): Boolean {
        asked?.onReceiveValue(null)
        asked = answer
        kind = wanted.acceptTypes.orEmpty().firstNotNullOfOrNull { Kind.of(it, it) } ?: Kind.PHOTO
        return try {
            activity.startActivityForResult(if (kind == Kind.PHOTO) photo() else bundle(), CHOOSE)
            true
        } catch (_: ActivityNotFoundException) {
            asked = null
            false
        }
    }

    private fun bundle(): Intent {
        // Some apps do not know what a zip file is, so anything may be chosen; what is no bundle says so when it is taken in.
        val pick = Intent(Intent.ACTION_GET_CONTENT).addCategory(Intent.CATEGORY_OPENABLE).setType("*/*")
            .putExtra(Intent.EXTRA_MIME_TYPES, (Kind.ZIP + "application/octet-stream").toTypedArray())
        return Intent.createChooser(pick, "Bundle")
    }

    private fun photo(): Intent {
        val photo = book.handedOut.fresh(HandedOut.CAMERA, "photo.jpg").also { camera = it }
        val place = HandedFiles.address(activity, photo)
        val take = Intent(MediaStore.ACTION_IMAGE_CAPTURE).putExtra(MediaStore.EXTRA_OUTPUT, place)
        take.clipData = ClipData.newRawUri(null, place)
        take.addFlags(Intent.FLAG_GRANT_WRITE_URI_PERMISSION or Intent.FLAG_GRANT_READ_URI_PERMISSION)
        val pick = Intent(Intent.ACTION_GET_CONTENT).addCategory(Intent.CATEGORY_OPENABLE).setType("image/*")
            .putExtra(Intent.EXTRA_MIME_TYPES, arrayOf("image/jpeg", "image/png"))
        return Intent.createChooser(pick, "Photo of the face").putExtra(Intent.EXTRA_INITIAL_INTENTS, arrayOf(take))
    }

    /** Takes what the other app gave; `false` where it was not asked from here. */
    fun answered(request: Int, result: Int, data: Intent?): Boolean {
        if (request != CHOOSE) return false
        val answer = asked.also { asked = null }
        val taken = camera.also { camera = null }
        val given = if (result == Activity.RESULT_OK) given(data, taken) else emptyList()
        if (given.isEmpty()) answer?.onReceiveValue(null) else book.desk.execute { copy(given, answer) }
        return true
    }

    private fun given(data: Intent?, taken: File?): List<Uri> {
        val chosen = SharedIn.addresses(data)
        if (chosen.isNotEmpty()) return chosen
        return listOfNotNull(taken?.takeIf { it.length() > 0 }?.let { HandedFiles.address(activity, it) })
    }

    /** Copies the files in. Where the page that asked is gone, since Android ended the app meanwhile, they wait as shared ones do. */
    private fun copy(given: List<Uri>, answer: ValueCallback<Array<Uri>>?) {
        val kind = kind
        val basket = if (answer == null) book.incoming.of(kind) else book.chosen
        val copied = try {
            given.map { SharedIn.copy(activity, it, kind, basket) }
        } catch (error: IOException) {
            activity.runOnUiThread {
                answer?.onReceiveValue(null)
                Told.briefly(activity, "The ${kind.word} could not be copied (${error.message}); choose it again.")
            }
            return
        }
        val lent = if (answer == null) emptyArray() else copied.map { HandedFiles.address(activity, it.file) }.toTypedArray()
        activity.runOnUiThread { answer?.onReceiveValue(lent) ?: (activity as? ShellActivity)?.showAnew() }
    }

    /** Keeps in [state] what was asked for and where the camera writes, should Android end the app meanwhile. */
    fun save(state: Bundle) {
        state.putString(CAMERA_FILE, camera?.path)
        state.putString(KIND, kind.name)
    }

    /** Takes up what [save] kept. */
    fun restore(state: Bundle) {
        camera = state.getString(CAMERA_FILE)?.let(::File)
        kind = Kind.entries.firstOrNull { it.name == state.getString(KIND) } ?: Kind.PHOTO
    }

    private companion object {
        const val CHOOSE = 1
        const val CAMERA_FILE = "camera"
        const val KIND = "kind"
    }
}
