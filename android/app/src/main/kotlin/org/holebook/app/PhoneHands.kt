package org.holebook.app

import android.app.Activity
import android.content.ClipData
import android.content.Intent
import android.net.Uri
import android.print.PrintAttributes
import android.print.PrintManager
import android.webkit.WebView
import java.io.File
import org.holebook.app.carry.Hands

/** What only the phone itself can do for a page. */
class PhoneHands(private val activity: Activity, private val view: WebView, private val book: Book) : Hands {
    override fun shareSheet(face: String) {
        val sheet = book.sheet(face)
        activity.runOnUiThread { offer(sheet, "text/html") }
    }

    override fun shareBundle(bundle: File) = activity.runOnUiThread { offer(bundle, "application/zip") }

    override fun print() = activity.runOnUiThread {
        val name = view.title?.removeSuffix(" · Holebook") ?: "Sheet"
        val printer = activity.getSystemService(PrintManager::class.java)
        printer?.print(name, view.createPrintDocumentAdapter(name), PrintAttributes.Builder().build())
    }

    private fun offer(file: File, type: String) {
        val address: Uri = HandedFiles.address(activity, file)
        val send = Intent(Intent.ACTION_SEND).setType(type)
            .putExtra(Intent.EXTRA_STREAM, address)
            .putExtra(Intent.EXTRA_SUBJECT, file.nameWithoutExtension)
            .addFlags(Intent.FLAG_GRANT_READ_URI_PERMISSION)
        send.clipData = ClipData.newRawUri(file.name, address)
        activity.startActivity(Intent.createChooser(send, file.name))
    }
}
