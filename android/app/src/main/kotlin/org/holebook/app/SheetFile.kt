package org.holebook.app

import java.io.File
import org.holebook.app.carry.HandedOut
import org.holebook.core.FaceId
import org.holebook.core.Notebook

/** A face's sheet as a file that other apps can be lent. */
object SheetFile {
    /** Makes it, in the unit of the settings, under the face's own name. Blocks. */
    fun make(notebook: Notebook, face: String, handedOut: HandedOut): File {
        val id = FaceId(face)
        val text = notebook.sheet(id, notebook.settings().unit)
        val file = handedOut.fresh(HandedOut.SHARED, "${notebook.face(id).name} - sheet.html")
        file.writeText(text)
        return file
    }
}
