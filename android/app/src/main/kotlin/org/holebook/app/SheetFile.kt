package org.holebook.app

import java.io.File
import org.holebook.app.shell.SharedFiles
import org.holebook.app.shell.SheetRequest
import org.holebook.core.FaceId
import org.holebook.core.LengthUnit
import org.holebook.core.Lubrication
import org.holebook.core.Notebook
import org.holebook.core.PaperSize
import org.holebook.core.SheetKind

/** A sheet of a face as a file to share. */
object SheetFile {
    /**
     * Writes it in the unit of the settings, named after the face: the PDF of a kind of sheet, or
     * the job sheet as a page if the request names none. Blocks.
     */
    fun create(notebook: Notebook, request: SheetRequest, sharedFiles: SharedFiles): File {
        val (face, kind, bolts) = request
        val id = FaceId(face)
        val unit = notebook.settings().unit
        val name = notebook.face(id).name
        val sheet = SheetKind.entries.firstOrNull { word(it) == kind }
        if (sheet == null) {
            val text = notebook.sheet(id, unit)
            return sharedFiles.create(SharedFiles.SHEETS, "$name - job sheet.html")
                .apply { writeText(text) }
        }
        val paper = if (unit == LengthUnit.INCH) PaperSize.LETTER else PaperSize.A4
        val lubrication = Lubrication.entries.firstOrNull { word(it) == bolts }
        val bytes = when {
            sheet != SheetKind.BOLT_UP || lubrication == null ->
                notebook.sheetPdf(id, sheet, paper, unit)
            else -> notebook.boltUpPdf(id, lubrication, paper, unit)
        }
        return sharedFiles.create(SharedFiles.SHEETS, "$name - ${word(sheet)}.pdf")
            .apply { writeBytes(bytes) }
    }

    /** Its name in forms. */
    private fun word(kind: Enum<*>) = kind.name.lowercase().replace('_', '-')
}
