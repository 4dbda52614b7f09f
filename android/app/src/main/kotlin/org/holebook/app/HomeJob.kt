package org.holebook.app

import android.app.job.JobParameters
import android.app.job.JobService
import android.net.Network
import android.os.Build
import java.util.concurrent.ConcurrentHashMap
import org.holebook.app.carry.Errand
import org.holebook.core.NotebookException

/**
 * Goes the way home when Android says that the phone is on a network for it. It says nothing to the person: what is not
 * home yet stands on every page, and how the last exchange went on the page of the exchange.
 */
class HomeJob : JobService() {
    override fun onStartJob(job: JobParameters): Boolean {
        val errand = Book.of(this).errand().also { under[job.jobId] = it }
        Thread({ go(job, errand) }, "errand").start()
        return true
    }

    /** Android takes the network or the time away. What was moved stays, and the rest is for another time. */
    override fun onStopJob(job: JobParameters): Boolean {
        under.remove(job.jobId)?.stop()
        return job.jobId == Errands.SOON // what is gone every few hours comes again by itself
    }

    private fun go(job: JobParameters, errand: Errand) {
        val book = Book.of(this)
        book.network.hold(networkOf(job))
        val end = try {
            errand.run()
        } catch (_: NotebookException) {
            Errand.End.LATER // the notebook is in trouble, which its pages say
        } finally {
            book.network.letGo()
        }
        if (end == Errand.End.NOBODY) book.errands.cancel()
        if (under.remove(job.jobId, errand)) jobFinished(job, end == Errand.End.LATER && job.jobId == Errands.SOON)
    }

    private fun networkOf(job: JobParameters): Network? =
        if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.P) job.network else null

    companion object {
        private val under = ConcurrentHashMap<Int, Errand>()

        /** Whether the errand of that job is being gone just now. */
        fun isUnderWay(job: Int): Boolean = under.containsKey(job)
    }
}
