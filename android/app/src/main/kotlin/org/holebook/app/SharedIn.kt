package org.holebook.app

import android.content.ContentResolver
import android.content.Context
import android.content.Intent
import android.net.Uri
import android.os.Build
import android.provider.OpenableColumns
import java.io.IOException
import org.holebook.app.carry.Basket
import org.holebook.app.carry.Kind

/** Photos and bundles that other apps hand over, by content address. */
object SharedIn {
    /** The addresses that an intent carries; in what was shared they are its stream, in what was chosen its data. */
    fun addresses(intent: Intent?): List<Uri> {
        val clip = intent?.clipData
        val clipped = (0 until (clip?.itemCount ?: 0)).mapNotNull { clip?.getItemAt(it)?.uri }
        return clipped.ifEmpty { listOfNotNull(intent?.data) }.ifEmpty { streams(intent) }.distinct()
    }

    /** Copies a file in, to where one of its [kind] goes. Blocks. */
    @Throws(IOException::class)
    fun copy(context: Context, address: Uri, kind: Kind, basket: Basket): Basket.Item {
        val name = lent { name(context, address) }
        val content = lent { context.contentResolver.openInputStream(address) } ?: throw IOException("the other app does not give it")
        return content.use { basket.put(kind, name, it) }
    }

    /** What a file is, as the app says that lends it; `null` where it is none of what the notebook takes. Blocks. */
    @Throws(IOException::class)
    fun kind(context: Context, address: Uri): Kind? = lent { Kind.of(context.contentResolver.getType(address), name(context, address)) }

    /** What is wrong in the other app arrives here as its exception, and must not end this one. */
    private fun <T> lent(look: () -> T): T = try {
        look()
    } catch (_: SecurityException) {
        throw IOException("the other app no longer lends it")
    } catch (_: RuntimeException) {
        throw IOException("the other app does not give it")
    }

    /**
     * Whether an address that another app sent may be read. Only what is lent by content address, and never from our own
     * provider: another app must not make us read out to a page what lies in the notebook's own folders.
     */
    fun isLent(address: Uri): Boolean =
        address.scheme == ContentResolver.SCHEME_CONTENT && address.authority?.endsWith(HandedFiles.AUTHORITY) == false

    private fun name(context: Context, address: Uri): String {
        val columns = arrayOf(OpenableColumns.DISPLAY_NAME)
        val said = context.contentResolver.query(address, columns, null, null, null)?.use { rows ->
            if (rows.moveToFirst()) rows.getString(0) else null
        }
        return said ?: address.lastPathSegment.orEmpty()
    }

    private fun streams(intent: Intent?): List<Uri> = when {
        intent == null -> emptyList()
        Build.VERSION.SDK_INT >= Build.VERSION_CODES.TIRAMISU ->
            intent.getParcelableArrayListExtra(Intent.EXTRA_STREAM, Uri::class.java)
                ?: listOfNotNull(intent.getParcelableExtra(Intent.EXTRA_STREAM, Uri::class.java))
        else -> oldStreams(intent)
    }

    @Suppress("DEPRECATION") // the only way there was before API 33
    private fun oldStreams(intent: Intent): List<Uri> =
        intent.getParcelableArrayListExtra<Uri>(Intent.EXTRA_STREAM)
            ?: listOfNotNull(intent.getParcelableExtra(Intent.EXTRA_STREAM))
}
