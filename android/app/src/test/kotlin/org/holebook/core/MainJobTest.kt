package org.holebook.core

import java.io.File
import org.holebook.core.Bench.Companion.mm
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertNotNull
import org.junit.jupiter.api.Assertions.assertNull
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

class MainJobTest {
    @Test
    fun `from the empty notebook to the proved hole in typed calls`() = Bench().use { bench ->
        val book = bench.book
        assertTrue(book.castings().isEmpty())
        val face = bench.face()
        val photo = book.addPhoto(face, Bench.photo.path, "barn.jpg")
        assertEquals(1800u to 2400u, photo.widthPx to photo.heightPx)
        assertTrue(photo.locationRemoved)
        val hole = bench.hole(face)
        book.mark(hole, MarkBody(photo.photo, xPx = 900.0, yPx = 1200.0))
        assertEquals(Next.Choose, book.plan(hole).next)

        val way = bench.choose(hole)
        val taken = mutableListOf<StepKey>()
        while (true) {
            val next = book.plan(hole).next as? Next.TakeStep ?: break
            assertFalse(next.step in taken, "$next came twice")
            bench.take(next.step, face, hole, way)
            taken += next.step
        }
        assertTrue(taken.containsAll(listOf(StepKey.DryFit, StepKey.FaceCut, StepKey.SetInsert, StepKey.DriveKeys, StepKey.Prove)))
        val done = book.hole(hole)
        assertEquals(State.PROVED, done.standing.state)
        assertFalse(done.inQuestion)
        assertEquals(Next.Nothing, book.plan(hole).next)
        assertTrue("3/8-16 UNC" in book.sheet(face, LengthUnit.INCH))
        assertEquals(listOf("Ada"), book.history(Subject.Hole(hole), 100u).map { it.by }.distinct())
    }

    @Test
    fun `a remedy that does not fit says why, with both numbers and where the limit is from`() = Bench().use { bench ->
        val ways = bench.book.plan(bench.hole(bench.face())).ways
        val leave = ways.first { it.remedy == Remedy.LEAVE }
        assertEquals(Verdict.DOES_NOT_FIT, leave.verdict)
        val failed = leave.checks.first { it.passes == false && it.weight == Weight.MUST }
        assertNotNull(failed.has)
        assertNotNull(failed.needs)
        assertTrue(failed.limitFrom.isNotEmpty())
        assertTrue(failed.reason in leave.reasons)
    }

    @Test
    fun `a step out of order says why it asks for a reason`() = Bench().use { bench ->
        val hole = bench.hole(bench.face())
        bench.choose(hole)
        val steps = bench.book.plan(hole).steps
        assertNull(steps.first().asksReason)
        assertTrue(steps.first { it.key == StepKey.SetInsert }.asksReason!!.length > 20)
    }

    @Test
    fun `two answers stand until somebody settles them`() = Bench().use { bench ->
        val book = bench.book
        val hole = bench.hole(bench.face())
        book.damage(hole, Bench.worn(9.8))
        val question = book.hole(hole).standing.questions.single()
        assertEquals(QuestionAbout.SeveralAnswers(Fact.DAMAGE), question.about)
        assertEquals(Next.Settle, book.plan(hole).next)
        book.settle(hole, Saying.Damage(Bench.worn(9.8)))
        assertEquals(Bench.worn(9.8), book.hole(hole).record.damage.settled)
    }

    @Test
    fun `what is struck stays readable`() = Bench().use { bench ->
        val book = bench.book
        val hole = bench.hole(bench.face())
        val note = book.noteHole(hole, Note("rusty"))
        book.strike(note, "not so rusty")
        val line = book.entry(note)
        assertFalse(line.stands)
        assertEquals("not so rusty", line.struckBy!!.reason)
        assertTrue("rusty" in line.bodyJson)
    }

    @Test
    fun `two notebooks meet over a folder`() = Bench().use { phone ->
        Bench().use { shop ->
            val face = phone.face()
            val photo = phone.book.addPhoto(face, Bench.photo.path).photo
            val hole = phone.hole(face)
            val shelf = ExchangeWith.Folder(File(phone.folder, "shelf").path)
            val left = phone.book.exchange(shelf)
            assertTrue(left.madeShelf)
            val taken = shop.book.exchange(shelf)
            assertEquals(left.entriesLeft to 1u, taken.entriesTaken to taken.photosTaken)
            assertEquals(phone.book.hole(hole).record, shop.book.hole(hole).record)
            assertTrue(File(shop.book.photoView(photo)).length() > 0)
            assertTrue(shop.book.verify().findings.isEmpty())
        }
    }

    @Test
    fun `lengths cross exactly`() {
        val length = parseLength("25/64")
        assertEquals(9_921_875L, length.nm)
        assertEquals("0.3906 in", showLength(length, LengthUnit.INCH))
        assertEquals(length, parseLength(exactLength(length)))
        assertEquals(length, mm(9.921875))
    }
}
