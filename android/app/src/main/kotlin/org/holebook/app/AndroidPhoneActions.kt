package org.holebook.app

import android.app.Activity
import android.content.ClipData
import android.content.Intent
import android.net.Uri
import android.print.PrintAttributes
import android.print.PrintManager
import android.webkit.WebView
import java.io.File
import org.holebook.app.shell.PhoneActions
import org.holebook.app.shell.SharedFiles
import org.holebook.app.shell.SheetRequest

/** [PhoneActions] by the activity on the screen. */
class AndroidPhoneActions(
    private val activity: Activity,
    private val view: WebView,
    private val app: AppContainer,
) : PhoneActions {
    override fun shareSheet(sheet: SheetRequest) {
        val file = app.sheet(sheet)
        val type = if (file.extension == "pdf") "application/pdf" else "text/html"
        activity.runOnUiThread { share(file, type) }
    }

    override fun shareFile(name: String, type: String, content: ByteArray) {
        val file = app.sharedFiles.create(SharedFiles.SHEETS, name).apply { writeBytes(content) }
        activity.runOnUiThread { share(file, type) }
    }

    override fun shareBundle(bundle: File) =
        activity.runOnUiThread { share(bundle, "application/zip") }

    override fun print() = activity.runOnUiThread {
        val name = view.title?.removeSuffix(" · Holebook") ?: "Job sheet"
        val document = view.createPrintDocumentAdapter(name)
        val printManager = activity.getSystemService(PrintManager::class.java)
        printManager?.print(name, document, PrintAttributes.Builder().build())
    }

    private fun share(file: File, type: String) {
        val uri: Uri = SharedFileProvider.uriOf(activity, file)
        val send = Intent(Intent.ACTION_SEND).setType(type)
            .putExtra(Intent.EXTRA_STREAM, uri)
            .putExtra(Intent.EXTRA_SUBJECT, file.nameWithoutExtension)
            .addFlags(Intent.FLAG_GRANT_READ_URI_PERMISSION)
        send.clipData = ClipData.newRawUri(file.name, uri)
        activity.startActivity(Intent.createChooser(send, file.name))
    }
}
