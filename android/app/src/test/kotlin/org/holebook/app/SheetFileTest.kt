package org.holebook.app

import org.holebook.app.shell.PhoneFixture
import org.holebook.app.shell.SheetRequest
import org.holebook.core.FaceId
import org.holebook.core.LengthUnit
import org.holebook.core.Lubrication
import org.holebook.core.PaperSize
import org.junit.jupiter.api.AfterEach
import org.junit.jupiter.api.Assertions.assertArrayEquals
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Test

class SheetFileTest {
    private val phone = PhoneFixture()

    @AfterEach
    fun close() = phone.close()

    private fun added(address: String, name: String) =
        phone.submit(address, "name" to name).substringBefore('?').substringBefore('#')

    @Test
    fun `a bolt-up sheet is for bolts as the person says`() {
        val casting = added("/casting", "Sample, invented")
        val id = added("$casting/face", "Deck").removePrefix("/face/")
        val words = listOf("dry", "oiled", "zinc")
        assertEquals(words, Lubrication.entries.map { it.name.lowercase() })
        for (lubrication in Lubrication.entries) {
            val pdf = {
                val paper = PaperSize.LETTER
                phone.notebook.boltUpPdf(FaceId(id), lubrication, paper, LengthUnit.INCH)
            }
            val request = SheetRequest(id, "bolt-up", lubrication.name.lowercase())
            val make = {
                SheetFile.create(phone.notebook, request, phone.shell.sharedFiles).readBytes()
            }
            // The sheet prints the time: all three were made in the same minute.
            val tries = generateSequence { Triple(pdf(), make(), pdf()) }
            val (wanted, made) = tries.first { (before, _, after) -> before.contentEquals(after) }
            assertArrayEquals(wanted, made, "$lubrication")
        }
    }
}
