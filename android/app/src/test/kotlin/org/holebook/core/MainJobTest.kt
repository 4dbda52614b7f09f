package org.holebook.core

import java.io.File
import org.holebook.core.TestNotebook.Companion.mm
import org.holebook.core.TestNotebook.Companion.worn
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertNotNull
import org.junit.jupiter.api.Assertions.assertNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** The main job by typed calls. */
class MainJobTest {
    @Test
    fun `a hole goes from an empty notebook to the final check`() = TestNotebook().use { test ->
        val book = test.book
        assertTrue(book.castings().isEmpty())
        val face = test.face()
        val photo = book.addPhoto(face, TestNotebook.photo.path, "barn.jpg")
        assertEquals(1800u to 2400u, photo.file.width to photo.file.height)
        assertTrue(photo.file.metadataRemoved)
        val hole = test.hole(face)
        book.mark(hole, MarkBody(photo.id, xPx = 900.0, yPx = 1200.0, rimRadiusPx = null))
        assertEquals(NextAction.ChooseRemedy, book.plan(hole).next)

        val remedy = test.choose(hole)
        val done = mutableListOf<StepKey>()
        while (true) {
            val next = book.plan(hole).next as? NextAction.Step ?: break
            assertFalse(next.step in done, "$next came twice")
            test.complete(next.step, face, hole, remedy)
            done += next.step
        }
        val expected = listOf(
            StepKey.TrialFit,
            StepKey.FaceCut,
            StepKey.Install,
            StepKey.StakeKeys,
            StepKey.FinalCheck,
        )
        assertTrue(done.containsAll(expected), "$done")
        val view = book.hole(hole)
        assertEquals(Stage.PASSED, view.status.stage)
        assertFalse(view.conflict)
        assertEquals(NextAction.Done, book.plan(hole).next)
        assertTrue("3/8-16 UNC" in book.sheet(face, LengthUnit.INCH))
        for (kind in SheetKind.entries) {
            val pdf = book.sheetPdf(face, kind, PaperSize.A4, LengthUnit.MILLIMETER)
            assertEquals("%PDF-", pdf.decodeToString(0, 5))
        }
        val authors = book.history(Subject.Hole(hole), 100u).map { it.by }
        assertEquals(listOf("Ada"), authors.distinct())
    }

    @Test
    fun `a remedy that does not fit names the failed check, both numbers and the source`() =
        TestNotebook().use { test ->
            val remedies = test.book.plan(test.hole(test.face())).remedies
            val remedy = remedies.first { it.spec.remedy == Remedy.LEAVE }
            val leave = remedy.assessment
            assertEquals(Verdict.DOES_NOT_FIT, leave.verdict)
            val failed = leave.checks.first { it.passes == false && it.weight == Weight.MUST }
            assertNotNull(failed.has)
            assertNotNull(failed.needs)
            assertTrue(failed.limitFrom.isNotEmpty())
            assertTrue(remedy.reasons.any { failed.check in it }, "${remedy.reasons}")
        }

    @Test
    fun `a step out of order asks for a reason`() = TestNotebook().use { test ->
        val hole = test.hole(test.face())
        test.choose(hole)
        val steps = test.book.plan(hole).steps
        assertNull(steps.first().asksReason)
        assertTrue(steps.first { it.step.key == StepKey.Install }.asksReason!!.length > 20)
    }

    @Test
    fun `two values are in conflict until a person resolves it`() = TestNotebook().use { test ->
        val book = test.book
        val hole = test.hole(test.face())
        book.record(hole, HoleEntry.Damage(worn(9.8)))
        val conflict = book.hole(hole).status.conflicts.single() as Conflict.EntriesDiffer
        assertEquals(Fact.DAMAGE to 2, conflict.fact to conflict.entries.size)
        assertEquals(NextAction.ResolveConflict, book.plan(hole).next)
        book.resolve(hole, HoleEntry.Damage(worn(9.8)))
        assertEquals(worn(9.8), book.hole(hole).record.damage.agreed)
    }

    @Test
    fun `a struck out entry stays readable`() = TestNotebook().use { test ->
        val book = test.book
        val note = book.record(test.hole(test.face()), HoleEntry.Note(Note("rusty")))
        book.strikeOut(note, "not so rusty")
        val line = book.entry(note)
        assertEquals("not so rusty", line.struckOutBy!!.reason)
        assertTrue("rusty" in line.body)
    }

    @Test
    fun `two notebooks sync through a folder`() = TestNotebook().use { phone ->
        TestNotebook().use { shop ->
            val face = phone.face()
            val photo = phone.book.addPhoto(face, TestNotebook.photo.path).id
            val hole = phone.hole(face)
            val target = SyncTarget.Folder(File(phone.folder, "remote").path)
            val sent = phone.book.sync(target)
            assertTrue(sent.createdRemote)
            val received = shop.book.sync(target)
            assertEquals(sent.entriesPushed, received.entriesPulled)
            assertEquals(1u, received.photosPulled)
            assertEquals(phone.book.hole(hole).record, shop.book.hole(hole).record)
            assertTrue(File(shop.book.photoView(photo)).length() > 0)
            assertTrue(shop.book.verify().findings.isEmpty())
        }
    }

    @Test
    fun `lengths are exact`() {
        val length = parseLength("25/64")
        assertEquals(9_921_875L, length.nm)
        assertEquals("25/64 in", showLength(length, LengthUnit.INCH))
        assertEquals(length, parseLength(showLength(length, LengthUnit.INCH)))
        assertEquals(length, mm(9.921875))
    }
}
