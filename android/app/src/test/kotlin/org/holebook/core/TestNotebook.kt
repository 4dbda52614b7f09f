package org.holebook.core

import java.io.File
import java.nio.file.Files

/** Syncs with one target to the end; returns the report. */
fun Notebook.sync(target: SyncTarget): SyncReport =
    startSync(target).use { (it.result().single() as RemoteOutcome.Done).report }

/** A notebook for one test, and the steps of the main job in it. All data are invented. */
class TestNotebook : AutoCloseable {
    val folder: File = Files.createTempDirectory("holebook-calls-").toFile()
    val book = Notebook.open(File(folder, "notebook").path)

    /** Adds a casting with one face. */
    fun face(): FaceId {
        val unit = LengthUnit.INCH
        book.setSettings(Settings("Ada", "barn phone", unit, keepPhotoGps = false))
        val body = CastingBody(name = "Pump end, invented", metal = "ASTM A48 class 25")
        val face = book.addFace(FaceBody(book.addCasting(body), "Cover joint"))
        book.planFaceCut(face, mm(0.5))
        return face
    }

    /** Adds a loose hole with measurements and a wanted thread, but no remedy. */
    fun hole(face: FaceId): HoleId {
        val hole = book.addHole(face)
        val readings = mapOf(
            Quantity.DEPTH to 34.0,
            Quantity.FLOOR to 12.0,
            Quantity.NEAREST_EDGE to 30.0,
            Quantity.NEAREST_HOLE to 60.0,
        )
        val entries = readings.map { (quantity, value) ->
            HoleEntry.Reading(Reading(quantity, mm(value), instrument = "depth gauge"))
        }
        book.recordAll(hole, entries)
        book.record(hole, HoleEntry.Damage(worn(9.4)))
        val wanted = WantedThread("3/8-16", bolt = "SAE J429 grade 5", through = false)
        book.record(hole, HoleEntry.WantedThread(wanted))
        return hole
    }

    /** Chooses a key-locking insert that passes the checks, so that every kind of step occurs. */
    fun choose(hole: HoleId): AssessedRemedy {
        val passing = setOf(Verdict.FITS, Verdict.MARGINAL)
        val remedy = book.plan(hole).remedies.first {
            it.spec.remedy == Remedy.KEY_LOCKING_INSERT && it.assessment.verdict in passing
        }
        book.record(hole, HoleEntry.Remedy(Choice(remedy.spec, reason = "it is in the drawer")))
        return remedy
    }

    /** Records a step as done, as planned. */
    fun complete(key: StepKey, face: FaceId, hole: HoleId, remedy: AssessedRemedy): EntryId {
        val spec = remedy.spec
        val entry = when (key) {
            is StepKey.Cut -> HoleEntry.Cut(Cut(spec, key.value, depth = depth(key.value, remedy)))
            StepKey.TrialFit -> HoleEntry.TrialFit(TrialFit(spec, fits = true))
            StepKey.FaceCut -> {
                val milled = FaceMilled(mm(0.5), instrument = "height gauge")
                return book.recordFaceMilled(face, milled)
            }
            StepKey.Install -> {
                val afterFaceCut = book.plan(hole).faceIsFinished
                HoleEntry.Install(Install(spec, mm(0.5), afterFaceCut))
            }
            StepKey.StakeKeys ->
                HoleEntry.StakeKeys(StakeKeys(spec, remedy.assessment.insert!!.keys))
            is StepKey.Check -> HoleEntry.Check(CheckResult(key.value, passes = true))
            StepKey.FinalCheck -> {
                val check = FinalCheck(spec, passes = true, how = "new bolt", torqueNm = 20.0)
                HoleEntry.FinalCheck(check)
            }
        }
        return book.record(hole, entry)
    }

    private fun depth(step: CutStep, remedy: AssessedRemedy): Length? = when (step) {
        CutStep.DRILL -> remedy.assessment.depths?.drill
        CutStep.TAP -> remedy.assessment.depths?.fullThread
        else -> null
    }

    override fun close() {
        book.shutdown()
        book.close()
        folder.deleteRecursively()
    }

    companion object {
        /** The photo of the repository's invented sample. */
        val photo = File("../../samples/pump-end-cover/joint-face.jpg")

        fun mm(value: Double) = lengthFromMm(value)

        /** A hole worn to one diameter. */
        fun worn(diameter: Double): Damage {
            val span = Span(mm(0.0), mm(20.0))
            return Damage(listOf(Station(span, mm(diameter), mm(0.0), directionDeg = 0.0)))
        }
    }
}
