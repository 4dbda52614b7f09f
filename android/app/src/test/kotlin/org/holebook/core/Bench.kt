package org.holebook.core

import java.io.File
import java.nio.file.Files

/** Exchanges with one shelf to the end; gives what that did. */
fun Notebook.exchange(with: ExchangeWith): ExchangeReport =
    beginExchange(with).use { (it.result().single() as ShelfOutcome.Done).report }

/** A notebook of its own for one test, and the steps of the main job on it. All data are invented. */
class Bench : AutoCloseable {
    val folder: File = Files.createTempDirectory("holebook-calls-").toFile()
    val book = Notebook.open(File(folder, "notebook").path)

    /** A casting with one face. */
    fun face(): FaceId {
        book.setSettings(Settings(person = "Ada", deviceName = "barn phone", unit = LengthUnit.INCH, keepLocation = false))
        val casting = book.addCasting(CastingBody(name = "Pump end, invented", metal = "ASTM A48 class 25"))
        val face = book.addFace(FaceBody(casting = casting, name = "Cover joint"))
        book.planFaceCut(face, mm(0.5))
        return face
    }

    /** A loose hole on it, read and wanted, and nothing chosen yet. */
    fun hole(face: FaceId): HoleId {
        val hole = book.addHole(face)
        val readings = mapOf(
            Quantity.DEPTH to 34.0, Quantity.FLOOR to 12.0, Quantity.NEAREST_EDGE to 30.0, Quantity.NEAREST_HOLE to 60.0,
        )
        for ((quantity, value) in readings) book.read(hole, Reading(quantity, mm(value), instrument = "depth gauge"))
        book.damage(hole, worn(9.4))
        book.want(hole, Wanted(thread = "3/8-16", bolt = "SAE J429 grade 5", through = false))
        return hole
    }

    /** A key-locking insert that the checks pass, so that every kind of step comes. */
    fun choose(hole: HoleId): Way {
        val fits = setOf(Verdict.FITS, Verdict.FITS_WITH_CARE)
        val way = book.plan(hole).ways.first { it.remedy == Remedy.KEY_LOCKING_INSERT && it.verdict in fits }
        book.choose(hole, Choice(way.work, reason = "it is in the drawer"))
        return way
    }

    /** Records a step as done, the way the plan says it. */
    fun take(key: StepKey, face: FaceId, hole: HoleId, way: Way): EntryId = when (key) {
        is StepKey.Cut -> {
            val depth = when (key.step) {
                CutStep.DRILL -> way.depths?.drill
                CutStep.TAP -> way.depths?.fullThread
                else -> null
            }
            book.cut(hole, Cut(way.work, key.step, depth = depth))
        }
        StepKey.DryFit -> book.dryFit(hole, DryFit(way.work, fits = true))
        StepKey.FaceCut -> book.recordFaceMilled(face, FaceMilled(mm(0.5), instrument = "height gauge"))
        StepKey.SetInsert -> book.setInsert(hole, InsertSet(way.work, mm(0.5), book.plan(hole).faceIsFinished))
        StepKey.DriveKeys -> book.driveKeys(hole, KeysDriven(way.work, way.insert!!.keys))
        is StepKey.Check -> book.check(hole, Checked(key.check, passes = true))
        StepKey.Prove -> book.prove(hole, Proof(way.work, passes = true, how = "new bolt", torqueNm = 20.0))
    }

    override fun close() {
        book.shutdown()
        book.close()
        folder.deleteRecursively()
    }

    companion object {
        /** The checkout's invented sample. */
        val photo = File("../../samples/pump-end-cover/joint-face.jpg")

        fun mm(value: Double) = lengthFromMm(value)

        /** A hole worn to one diameter. */
        fun worn(diameter: Double): Damage {
            val station = Station(Span(mm(0.0), mm(20.0)), mm(diameter), mm(0.0), directionDeg = 0.0)
            return Damage(stations = listOf(station))
        }
    }
}
