package org.holebook.app

import android.content.ContentResolver
import android.content.Context
import android.content.Intent
import android.net.Uri
import android.os.Build
import android.provider.OpenableColumns
import java.io.IOException
import org.holebook.app.shell.FileKind
import org.holebook.app.shell.FileQueue

/** Reads photos and bundles that other apps share by content address. */
object IncomingContent {
    /** The addresses in an intent: the stream if it was shared, the data if it was chosen. */
    fun uris(intent: Intent?): List<Uri> {
        val clip = intent?.clipData
        val clipped = (0 until (clip?.itemCount ?: 0)).mapNotNull { clip?.getItemAt(it)?.uri }
        return clipped
            .ifEmpty { listOfNotNull(intent?.data) }
            .ifEmpty { streams(intent) }
            .distinct()
    }

    /** Copies a file of a [kind] to [queue]. Blocks. */
    @Throws(IOException::class)
    fun copy(context: Context, uri: Uri, kind: FileKind, queue: FileQueue): FileQueue.Item {
        val name = reading { name(context, uri) }
        val content = reading { context.contentResolver.openInputStream(uri) }
            ?: throw IOException("the other app does not provide it")
        return content.use { queue.put(kind, name, it) }
    }

    /** The kind of a file, by its type in the other app; `null` if it is unsupported. Blocks. */
    @Throws(IOException::class)
    fun kind(context: Context, uri: Uri): FileKind? =
        reading { FileKind.of(context.contentResolver.getType(uri), name(context, uri)) }

    /** Converts exceptions of the other app, which arrive here as they are. */
    private fun <T> reading(read: () -> T): T = try {
        read()
    } catch (_: SecurityException) {
        throw IOException("the other app no longer shares it")
    } catch (_: RuntimeException) {
        throw IOException("the other app does not provide it")
    }

    /**
     * Whether an address from another app may be read: only content addresses, and none of our own
     * provider. Otherwise another app could make us show the notebook's own files to a page.
     */
    fun isAllowed(uri: Uri): Boolean = uri.scheme == ContentResolver.SCHEME_CONTENT &&
        uri.authority?.endsWith(SharedFileProvider.AUTHORITY) == false

    private fun name(context: Context, uri: Uri): String {
        val columns = arrayOf(OpenableColumns.DISPLAY_NAME)
        val name = context.contentResolver.query(uri, columns, null, null, null)?.use { rows ->
            if (rows.moveToFirst()) rows.getString(0) else null
        }
        return name ?: uri.lastPathSegment.orEmpty()
    }

    private fun streams(intent: Intent?): List<Uri> = when {
        intent == null -> emptyList()
        Build.VERSION.SDK_INT >= Build.VERSION_CODES.TIRAMISU ->
            intent.getParcelableArrayListExtra(Intent.EXTRA_STREAM, Uri::class.java)
                ?: listOfNotNull(intent.getParcelableExtra(Intent.EXTRA_STREAM, Uri::class.java))
        else -> streamsBeforeApi33(intent)
    }

    @Suppress("DEPRECATION")
    private fun streamsBeforeApi33(intent: Intent): List<Uri> =
        intent.getParcelableArrayListExtra<Uri>(Intent.EXTRA_STREAM)
            ?: listOfNotNull(intent.getParcelableExtra(Intent.EXTRA_STREAM))
}
