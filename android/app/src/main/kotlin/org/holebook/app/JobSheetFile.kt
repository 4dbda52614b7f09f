package org.holebook.app

import java.io.File
import org.holebook.app.shell.SharedFiles
import org.holebook.core.FaceId
import org.holebook.core.Notebook

/** The job sheet of a face as a file to share. */
object JobSheetFile {
    /** Writes it in the unit of the settings, named after the face. Blocks. */
    fun create(notebook: Notebook, face: String, sharedFiles: SharedFiles): File {
        val id = FaceId(face)
        val text = notebook.sheet(id, notebook.settings().unit)
        val name = "${notebook.face(id).name} - job sheet.html"
        return sharedFiles.create(SharedFiles.SHEETS, name).apply { writeText(text) }
    }
}
