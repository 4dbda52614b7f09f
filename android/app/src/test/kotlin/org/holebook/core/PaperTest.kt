package org.holebook.core

import java.io.File
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertThrows
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** Kit, drawer, bolt-up, and what leaves the notebook, by typed calls. */
class PaperTest {
    @Test
    fun `the kit counts off what is in the drawer`() = TestNotebook().use { test ->
        val book = test.book
        val face = test.face()
        test.choose(test.hole(face))
        val scope = WorkScope.Face(face)
        val insert = book.kit(scope).lines.first { it.group == Group.INSERTS }
        assertEquals(insert.needed + insert.spares, insert.buy)
        book.setOnHand(listOf(ItemCount(insert.item, count = 100u, worn = 0u, checked = null)))
        val counted = book.kit(scope).lines.first { it.group == Group.INSERTS }
        assertEquals(100u to 0u, counted.onHand to counted.buy)
        assertTrue(book.kitCsv(scope, LengthUnit.INCH).startsWith("group,item,needed,"))
        val text = book.kitText(WorkScope.All, "Kit", LengthUnit.MILLIMETER)
        assertTrue(text.startsWith("Kit\n\nTo buy or make\n"), text)
        val order = book.workOrder(scope, HardHoles.LAST)
        val steps = order.runs.flatMap { run -> run.steps.map { it.step.key } }
        assertTrue(steps.indexOf(StepKey.FaceCut) < steps.indexOf(StepKey.Install), "$steps")
    }

    @Test
    fun `a set of tools is entered in one call`() = TestNotebook().use { test ->
        val set = itemSets().first { it.word == "letters" }
        assertThrows(NotebookException.Invalid::class.java) { test.book.addItemSet("wooden") }
        assertEquals(set.items.size, test.book.addItemSet(set.word).size)
        assertEquals(set.items.size, test.book.onHand().size)
    }

    @Test
    fun `a joint is bolted up, and a broken tap takes it back`() = TestNotebook().use { test ->
        val book = test.book
        val face = test.face()
        val hole = test.hole(face)
        val remedy = test.choose(hole)
        while (true) {
            val next = book.plan(hole).next as? NextAction.Step ?: break
            test.complete(next.step, face, hole, remedy)
        }
        assertEquals(BoltPass.FIRST, book.boltUp(face).next)
        for (pass in BoltPass.entries) {
            val tightened = BoltTightened(pass, torqueNm = 12.5, lubrication = Lubrication.DRY)
            book.record(hole, HoleEntry.BoltTightened(tightened))
        }
        val recorded = book.boltUp(face).bolts.single().done
        assertEquals(List(recorded.size) { Lubrication.DRY }, recorded.map { it.lubrication })
        assertTrue(book.boltUp(face).checkedWarm)
        assertEquals(listOf(hole), book.tighteningOrder(face).holes)
        val joint = book.jointPlan(face, Lubrication.DRY)
        val bolt = joint.bolts.single()
        assertEquals(joint.full!!.nmTorque, bolt.torque!!.usualNmTorque)
        assertEquals(BoltPass.entries, joint.passes.map { it.pass })
        assertEquals(0.3 * joint.full!!.nmTorque, joint.passes.first().aimNmTorque, 1e-9)
        assertEquals(bolt.weakest, joint.weakest!!.load)
        val oiled = book.jointPlan(face, Lubrication.OILED).full!!.nmTorque
        assertTrue(oiled < joint.full!!.nmTorque)
        val page = book.boltUpSheet(face, Lubrication.DRY, LengthUnit.INCH)
        assertTrue("plain steel, dry" in page)
        val pdf = book.boltUpPdf(face, Lubrication.DRY, PaperSize.LETTER, LengthUnit.INCH)
        assertEquals("%PDF-", pdf.decodeToString(0, 5))
        book.record(hole, HoleEntry.Try(Try(Removal.HEAT)))
        book.record(hole, HoleEntry.TimeSpent(TimeSpent(minutes = 20u)))
        val broke = ToolTrouble("plug tap", Trouble.BROKE_IN_HOLE)
        book.record(hole, HoleEntry.ToolTrouble(broke))
        assertFalse(book.boltUp(face).boltedUp)
    }

    @Test
    fun `a reminder is open until it is done`() = TestNotebook().use { test ->
        val face = test.face()
        val body = ReminderBody(face, hole = null, text = "cured?", due = null, done = false)
        val reminder = test.book.remind(body)
        assertEquals(listOf("cured?"), test.book.openReminders().map { it.body.text })
        test.book.finishReminder(reminder)
        assertTrue(test.book.openReminders().isEmpty())
    }

    @Test
    fun `the notebook leaves as files, and a casting as one page`() = TestNotebook().use { test ->
        val face = test.face()
        test.hole(face)
        val folder = File(test.folder, "export")
        val exported = test.book.exportFiles(folder.path, replace = false)
        assertEquals(1UL, exported.holes)
        assertTrue(File(folder, "README.txt").isFile)
        val again = { test.book.exportFiles(folder.path, replace = false) }
        assertThrows(NotebookException::class.java) { again() }
        test.book.exportFiles(folder.path, replace = true)
        val casting = test.book.castings().single().id
        val page = test.book.castingFile(casting, LengthUnit.INCH)
        assertTrue("Pump end, invented" in page && "<script" !in page)
    }
}
