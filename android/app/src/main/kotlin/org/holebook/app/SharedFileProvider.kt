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
 * Gives other apps access to single files: a sheet or bundle that is shared, the file that the
 * camera app writes, and to the WebView the files that were chosen. It is not exported: only apps
 * that were granted an address can read it.
 */
class SharedFileProvider : ContentProvider() {
    override fun onCreate(): Boolean = true

    override fun openFile(uri: Uri, mode: String): ParcelFileDescriptor {
        val file = fileAt(uri) ?: throw FileNotFoundException("no file is shared at that address")
        if ('w' in mode && !sharedFiles().isWritable(uri.pathSegments)) {
            throw FileNotFoundException("that file is read-only")
        }
        return ParcelFileDescriptor.open(file, ParcelFileDescriptor.parseMode(mode))
    }

    override fun query(
        uri: Uri,
        projection: Array<String>?,
        selection: String?,
        arguments: Array<String>?,
        order: String?,
    ): Cursor? {
        val file = fileAt(uri) ?: return null
        val values = mapOf<String, Any>(
            OpenableColumns.DISPLAY_NAME to file.name,
            OpenableColumns.SIZE to file.length(),
        )
        val columns = (projection ?: values.keys.toTypedArray()).filter { it in values }
        return MatrixCursor(columns.toTypedArray(), 1).apply { addRow(columns.map(values::get)) }
    }

    override fun getType(uri: Uri): String? = when (fileAt(uri)?.extension?.lowercase()) {
        null -> null
        "jpg", "jpeg" -> "image/jpeg"
        "png" -> "image/png"
        "html" -> "text/html"
        "pdf" -> "application/pdf"
        "zip" -> "application/zip"
        else -> "application/octet-stream"
    }

    override fun insert(uri: Uri, values: ContentValues?): Uri? = null

    override fun update(
        uri: Uri,
        values: ContentValues?,
        selection: String?,
        arguments: Array<String>?,
    ): Int = 0

    override fun delete(uri: Uri, selection: String?, arguments: Array<String>?): Int = 0

    private fun sharedFiles() =
        AppContainer.of(checkNotNull(context) { "the provider is not created yet" }).sharedFiles

    private fun fileAt(uri: Uri): File? = sharedFiles().find(uri.pathSegments)

    companion object {
        /** The provider's name, as in the manifest. */
        const val AUTHORITY = "org.holebook.app.files"

        /** The address of a shared file. */
        fun uriOf(context: Context, file: File): Uri {
            val path = checkNotNull(AppContainer.of(context).sharedFiles.pathOf(file)) {
                "$file is not in the folder of shared files"
            }
            val root = Uri.Builder().scheme("content").authority(AUTHORITY)
            return path.fold(root) { uri, part -> uri.appendPath(part) }.build()
        }
    }
}
