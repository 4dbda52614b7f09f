package org.holebook.app

import android.app.job.JobInfo
import android.app.job.JobScheduler
import android.content.ComponentName
import android.content.Context
import android.os.Build
import java.util.concurrent.TimeUnit.HOURS
import java.util.concurrent.TimeUnit.MINUTES

/**
 * When the way home is tried by itself: some minutes after something was recorded, and every few hours for what the shop
 * wrote, each only while the phone is on a network that a shop computer can be on. Android chooses the moment, and wakes
 * the app for it. Both outlast a restart of the phone: the phone whose battery died in the barn is the one with most to bring.
 */
class Errands(private val context: Context) {
    private val scheduler: JobScheduler? = context.getSystemService(JobScheduler::class.java)

    /** Something was recorded. One errand brings home all that was recorded until it is gone, so a second is not planned. */
    fun afterRecording() {
        if (!isPlanned(SOON)) scheduler?.schedule(soon())
    }

    /**
     * The app was opened: a person is at hand, and the phone may have come home. An errand that waits long because the shop was
     * not reached many times is planned anew.
     */
    fun plan() {
        if (!HomeJob.isUnderWay(SOON)) scheduler?.schedule(soon())
        if (!isPlanned(NOW_AND_THEN)) scheduler?.schedule(nowAndThen())
    }

    /** There is nobody to go to any more. */
    fun cancel() {
        scheduler?.cancel(SOON)
        scheduler?.cancel(NOW_AND_THEN)
    }

    private fun isPlanned(job: Int) = scheduler?.getPendingJob(job) != null

    private fun soon() = job(SOON)
        .setMinimumLatency(MINUTES.toMillis(DELAY_MINUTES))
        // Not doubled each time: a night beside the wrong network would put the next try off until the afternoon.
        .setBackoffCriteria(MINUTES.toMillis(AGAIN_MINUTES), JobInfo.BACKOFF_POLICY_LINEAR)
        .build()

    private fun nowAndThen() = job(NOW_AND_THEN).setPeriodic(HOURS.toMillis(PERIOD_HOURS)).build()

    private fun job(id: Int) = JobInfo.Builder(id, ComponentName(context, HomeJob::class.java)).setPersisted(true).apply {
        // A shop's network need not lead to the internet, which Android asks of every network that is not described to it.
        if (Build.VERSION.SDK_INT >= Build.VERSION_CODES.P) {
            setRequiredNetwork(ShopNetwork.wanted())
        } else {
            setRequiredNetworkType(JobInfo.NETWORK_TYPE_UNMETERED)
        }
    }

    companion object {
        /** The errand after something was recorded. */
        const val SOON = 1

        /** The errand for what the shop wrote. */
        const val NOW_AND_THEN = 2

        /** Whoever records goes on recording; one errand is enough for a bench's work. */
        private const val DELAY_MINUTES = 2L

        /** The first wait after a try in vain; each later one is longer by as much, five hours at most (Android's own limit). */
        private const val AGAIN_MINUTES = 15L

        private const val PERIOD_HOURS = 3L
    }
}
