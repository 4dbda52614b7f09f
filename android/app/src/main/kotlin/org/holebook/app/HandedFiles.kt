package org.holebook.app

import android.content.ContentProvider
import android.content.ContentValues
import android.content.Context
import android.database.Cursor
import android.database.MatrixCursor
import android.net.Uri
import android.os.ParcelFileDescriptor
import android.provider.OpenableColumns
import java.io.File
import java.io.FileNotFoundException

/**
 * Lends single files to other apps for as long as they were granted: the sheet or the bundle that is shared, the place that
 * the camera app writes to, and to the WebView the files that were chosen. Nobody can ask here without a grant (it is not
 * exported).
 */
class HandedFiles : ContentProvider() {
    override fun onCreate(): Boolean = true

    override fun openFile(uri: Uri, mode: String): ParcelFileDescriptor {
        val file = fileAt(uri) ?: throw FileNotFoundException("nothing was lent at that address")
        val writes = mode.any { it == 'w' }
        if (writes && !handedOut().isWritable(uri.pathSegments)) throw FileNotFoundException("what was lent there can only be read")
        return ParcelFileDescriptor.open(file, ParcelFileDescriptor.parseMode(mode))
    }

    override fun query(uri: Uri, projection: Array<String>?, selection: String?, arguments: Array<String>?, order: String?): Cursor? {
        val file = fileAt(uri) ?: return null
        val known = mapOf<String, Any>(OpenableColumns.DISPLAY_NAME to file.name, OpenableColumns.SIZE to file.length())
        val columns = (projection ?: known.keys.toTypedArray()).filter { it in known }.toTypedArray()
        return MatrixCursor(columns, 1).apply { addRow(columns.map { known[it] }) }
    }

    override fun getType(uri: Uri): String? = when (fileAt(uri)?.extension?.lowercase()) {
        null -> null
        "jpg", "jpeg" -> "image/jpeg"
        "png" -> "image/png"
        "html" -> "text/html"
        "zip" -> "application/zip"
        else -> "application/octet-stream"
    }

    override fun insert(uri: Uri, values: ContentValues?): Uri? = null

    override fun update(uri: Uri, values: ContentValues?, selection: String?, arguments: Array<String>?): Int = 0

    override fun delete(uri: Uri, selection: String?, arguments: Array<String>?): Int = 0

    private fun handedOut() = Book.of(checkNotNull(context) { "a provider has a context once it is made" }).handedOut

    private fun fileAt(uri: Uri): File? = handedOut().find(uri.pathSegments)

    companion object {
        /** The provider's name; the manifest says the same. */
        const val AUTHORITY = "org.holebook.app.files"

        /** The address at which a file of ours is lent. */
        fun address(context: Context, file: File): Uri {
            val path = checkNotNull(Book.of(context).handedOut.pathOf(file)) { "only what lies in the lending folder is lent" }
            return path.fold(Uri.Builder().scheme("content").authority(AUTHORITY)) { uri, part -> uri.appendPath(part) }.build()
        }
    }
}
