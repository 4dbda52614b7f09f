package org.holebook.app

import android.app.Application
import android.app.job.JobInfo
import android.app.job.JobParameters
import android.app.job.JobScheduler
import android.content.ComponentName
import android.net.ConnectivityManager
import android.net.Network
import android.net.NetworkCapabilities
import android.os.PersistableBundle
import java.util.concurrent.TimeUnit.MINUTES
import org.holebook.app.shell.text
import org.holebook.core.Pair
import org.holebook.core.ShopProgram
import org.holebook.core.StallingProxy
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertFalse
import org.junit.Assert.assertNull
import org.junit.Assert.assertTrue
import org.junit.Before
import org.junit.Rule
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.Robolectric
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.annotation.Config
import org.robolectric.shadows.ShadowNetwork

/** Background sync: its schedule, what it waits for, and the job with a real shop computer. */
@RunWith(RobolectricTestRunner::class)
@Config(sdk = [35], shadows = [FakeDiscovery::class])
class SyncJobServiceTest {
    @get:Rule
    val fresh = FreshAppContainer()

    private val context: Application get() = RuntimeEnvironment.getApplication()
    private val scheduler get() = context.getSystemService(JobScheduler::class.java)!!
    private val app get() = AppContainer.of(context)
    private val shop = ShopProgram()

    @Before
    fun reset() = FakeDiscovery.reset()

    @After
    fun close() {
        finishWork()
        shop.close()
    }

    private fun finishWork() = app.worker.submit {}.get()

    private fun send(target: String, vararg form: kotlin.Pair<String, String>) =
        app.carrier.post(target, form.map { (name, value) -> Pair(name, value) }, emptyList())

    private fun addCasting(name: String = "Sample, invented") = send("/casting", "name" to name)

    private fun pair(code: String) =
        send("/pair/shop", "code" to code).also { assertEquals(303, it.status.toInt()) }

    private fun page(target: String) = app.carrier.get(target).text

    private fun isSynced() = "not synced yet" !in page("/settings")

    private fun parameters(id: Int, network: Network? = null): JobParameters {
        val extras = PersistableBundle.EMPTY
        return JobParameters(
            null, null, id, extras, null, null, 0, false, false, false, null, null, network,
        )
    }

    private fun createService() =
        Robolectric.buildService(SyncJobService::class.java).create().get()

    /** Runs a job to its end; returns whether it wants to be retried. */
    private fun run(id: Int = SyncScheduler.AFTER_RECORDING, network: Network? = null): Boolean {
        val job = createService()
        assertTrue(job.onStartJob(parameters(id, network)))
        waitUntil { shadowOf(job).isJobFinished }
        return shadowOf(job).isRescheduleNeeded
    }

    private fun waitUntil(isTrue: () -> Boolean) {
        val deadline = System.nanoTime() + MINUTES.toNanos(1)
        while (!isTrue()) {
            check(System.nanoTime() < deadline) { "it did not happen within a minute" }
            Thread.sleep(20)
        }
    }

    @Test
    fun `jobs wait for a network of a shop computer and survive a restart of the phone`() {
        app.syncScheduler.schedule()
        val jobs = scheduler.allPendingJobs.associateBy { it.id }
        assertEquals(setOf(SyncScheduler.AFTER_RECORDING, SyncScheduler.PERIODIC), jobs.keys)
        for (job in jobs.values) {
            assertTrue(job.isPersisted)
            assertEquals(SyncJobService::class.java.name, job.service.className)
            with(job.requiredNetwork!!) {
                assertTrue(hasTransport(NetworkCapabilities.TRANSPORT_WIFI))
                assertTrue(hasTransport(NetworkCapabilities.TRANSPORT_ETHERNET))
                assertFalse(hasTransport(NetworkCapabilities.TRANSPORT_CELLULAR))
                assertFalse(hasCapability(NetworkCapabilities.NET_CAPABILITY_INTERNET))
                assertFalse(hasCapability(NetworkCapabilities.NET_CAPABILITY_VALIDATED))
            }
            assertFalse(job.isRequireCharging || job.isRequireDeviceIdle)
        }
        val afterRecording = jobs.getValue(SyncScheduler.AFTER_RECORDING)
        assertEquals(JobInfo.BACKOFF_POLICY_LINEAR, afterRecording.backoffPolicy)
        assertTrue(jobs.getValue(SyncScheduler.PERIODIC).isPeriodic)
    }

    /** Why the jobs describe a network: for this type Android wants one with internet access. */
    @Test
    fun `the unmetered network type needs internet access`() {
        val job = JobInfo.Builder(9, ComponentName(context, SyncJobService::class.java))
            .setRequiredNetworkType(JobInfo.NETWORK_TYPE_UNMETERED)
            .build()
        val validated = NetworkCapabilities.NET_CAPABILITY_VALIDATED
        assertTrue(job.requiredNetwork!!.hasCapability(validated))
    }

    @Test
    fun `nothing is scheduled for a phone that is not paired`() {
        addCasting()
        app.scheduleSync()
        finishWork()
        assertTrue(scheduler.allPendingJobs.isEmpty())
        assertFalse(run())
    }

    @Test
    fun `recording schedules one sync, after a delay`() {
        shop.code { pair(it.typed) }
        scheduler.cancelAll()
        addCasting()
        val pending = { scheduler.getPendingJob(SyncScheduler.AFTER_RECORDING)!! }
        val first = pending()
        assertTrue(first.minLatencyMillis >= MINUTES.toMillis(1))
        addCasting("Another, invented")
        assertTrue("the first job stays", first === pending())
        app.scheduleSync()
        finishWork()
        assertFalse("opening the app restarts the delay", first === pending())
        assertEquals(2, scheduler.allPendingJobs.size)
    }

    @Test
    fun `a job syncs, bound to the shop's network only while it runs`() {
        shop.code { pair(it.typed) }
        addCasting()
        assertFalse(isSynced())
        assertFalse(run(network = ShadowNetwork.newInstance(7)))
        assertTrue(isSynced())
        assertTrue("Sample, invented" in shop.command("list"))
        val connectivity = context.getSystemService(ConnectivityManager::class.java)!!
        assertNull(connectivity.boundNetworkForProcess)
        assertTrue(shadowOf(connectivity).networkCallbacks.isEmpty())
        assertEquals("no search at a known address", 0, FakeDiscovery.searches)
        assertFalse(SyncJobService.isRunning(SyncScheduler.AFTER_RECORDING))
    }

    @Test
    fun `an unreachable shop is searched for and retried later`() {
        shop.code { pair(it.typed) }
        addCasting()
        shop.kill()
        assertTrue(run())
        assertEquals(1, FakeDiscovery.searches)
        assertFalse("a periodic job returns by itself", run(SyncScheduler.PERIODIC))
        shop.open()
        assertFalse(run())
        assertTrue(isSynced())
    }

    @Test
    fun `a shop that revoked the phone is not retried`() {
        shop.code { pair(it.typed) }
        addCasting()
        shop.command("devices", "--revoke", shop.devices().single())
        assertFalse(run())
        assertFalse(isSynced())
        assertTrue("role=\"alert\"" in page("/sync"))
    }

    @Test
    fun `a job that Android stops ends soon, is retried, and keeps what was transferred`() =
        StallingProxy(shop).use { proxy ->
            proxy.link { pair(it) }
            send("/casting", "name" to "Sample, invented", "note" to "x".repeat(60_000))
            val job = createService()
            val id = SyncScheduler.AFTER_RECORDING
            proxy.stall(5_000, { job.onStartJob(parameters(id)) }) {
                assertTrue(SyncJobService.isRunning(id))
                assertTrue(job.onStopJob(parameters(id)))
                assertFalse(SyncJobService.isRunning(id))
            }
            waitUntil { "/sync/stop" !in page("/sync") }
            assertFalse("a stopped job does not finish again", shadowOf(job).isJobFinished)
            assertFalse(run())
            assertTrue(isSynced())
        }
}
