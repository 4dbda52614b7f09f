package org.holebook.app

import android.app.job.JobInfo
import android.app.job.JobScheduler
import android.content.ComponentName
import android.content.Context
import android.os.Build
import java.util.concurrent.TimeUnit.HOURS
import java.util.concurrent.TimeUnit.MINUTES

/**
 * Schedules background sync: a few minutes after something was recorded, and every few hours to
 * receive the shop's entries. Both wait for a network that a shop computer can be on, and survive a
 * restart of the phone: a phone whose battery died in the barn has the most to sync.
 */
class SyncScheduler(private val context: Context) {
    private val scheduler: JobScheduler? = context.getSystemService(JobScheduler::class.java)

    /** Schedules a sync after recording. One sync covers all that is recorded until it runs. */
    fun afterRecording() {
        if (!isPending(AFTER_RECORDING)) scheduler?.schedule(afterRecordingJob())
    }

    /**
     * Schedules both jobs when the app is opened. A job that backs off after failed attempts
     * starts over: somebody is present, and the phone may be back at the shop.
     */
    fun schedule() {
        if (!SyncJobService.isRunning(AFTER_RECORDING)) scheduler?.schedule(afterRecordingJob())
        if (!isPending(PERIODIC)) scheduler?.schedule(periodicJob())
    }

    /** Cancels both jobs: the phone is not paired any more. */
    fun cancel() {
        scheduler?.cancel(AFTER_RECORDING)
        scheduler?.cancel(PERIODIC)
    }

    private fun isPending(job: Int) = scheduler?.getPendingJob(job) != null

    private fun afterRecordingJob() = job(AFTER_RECORDING)
        .setMinimumLatency(MINUTES.toMillis(DELAY_MINUTES))
        // Linear: after a night on the wrong network, exponential backoff would wait until noon.
        .setBackoffCriteria(MINUTES.toMillis(BACKOFF_MINUTES), JobInfo.BACKOFF_POLICY_LINEAR)
        .build()

    private fun periodicJob() = job(PERIODIC).setPeriodic(HOURS.toMillis(PERIOD_HOURS)).build()

    private fun job(id: Int): JobInfo.Builder {
        val service = ComponentName(context, SyncJobService::class.java)
        val job = JobInfo.Builder(id, service).setPersisted(true)
        // Android wants internet access from any network type that is not described by a request.
        return if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.P) {
            job.setRequiredNetwork(ShopNetwork.request())
        } else {
            job.setRequiredNetworkType(JobInfo.NETWORK_TYPE_UNMETERED)
        }
    }

    companion object {
        /** Id of the job after something was recorded. */
        const val AFTER_RECORDING = 1

        /** Id of the job that receives the shop's entries. */
        const val PERIODIC = 2

        /** Someone who records keeps recording; one sync is enough for it. */
        private const val DELAY_MINUTES = 2L

        /** Wait after the first failure; each later wait is longer by as much, up to 5 hours. */
        private const val BACKOFF_MINUTES = 15L

        private const val PERIOD_HOURS = 3L
    }
}
